"""What stands around every page of a case, whatever the page shows."""

from functools import cache

import geoecon
from geoecon.audit import checks, verdict
from geoecon.report.words import plain_text
from geoecon.ui.frame import ENTRIES
from geoecon.ui.light import ALARM


def bars(at):
    """Red bars of checks that fail."""
    return [element.proto.body for element in at.get("html") if ALARM in element.proto.body]


def links(at):
    """Labels of the links in the body of a page, of which the last leads to the checks."""
    return [element.proto.label for element in at.main.get("page_link")]


def framed(at, page, name, titled=None):
    """That a page with a shipped case says where one is, has no error, says that all checks hold, and ends with the caution."""
    title, held = _told(name)
    assert [error.message for error in at.exception] == []
    assert [element.value for element in at.title] == [plain_text(titled or title)]
    assert at.markdown[0].value == f"**:gray[{ENTRIES[page]}]**"
    assert [*at.error, *at.warning] == []
    assert bars(at) == []
    assert links(at)[-1] == f"✓ A{held[1:]}."
    assert any("licensed practice" in element.value for element in at.caption)


@cache
def _told(name):
    """The title of a page of a case, and what its checks say."""
    result = geoecon.evaluate(geoecon.load_case(geoecon.shipped_case(name)))
    return result.name, verdict(checks(result))
