"""Whether figures agree with each other, on a terminal: of a result, and of the case that a study starts from."""

import sys
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from rich.console import Console

    from geoecon.audit import Check
    from geoecon.case import Case

ALARM = "bold white on red"


def say_checks(console: "Console", found: "list[Check]") -> None:
    """The sentence on all checks; where one fails in words and in red."""
    from rich.text import Text

    from geoecon.audit import verdict

    failed = not all(one.holds for one in found)
    console.print(Text(f"Checks: {verdict(found)}.", style=ALARM if failed else ""))


def end_by_checks(found: "list[Check]") -> None:
    """End as a defect of ours where figures do not agree with each other."""
    if not all(one.holds for one in found):
        sys.exit(1)


def check_lines(found: "list[Check]") -> Iterator[str]:
    """A line for each check, and the sentence on all; nothing where none were made."""
    if found:
        from geoecon.report.checks import lines

        yield from lines(found)


def base_checks(case: "Case") -> "list[Check]":
    """The checks of the figures of a case as it stands, from which a study starts; none where it has no result."""
    from geoecon.audit import checks
    from geoecon.engine import evaluate
    from geoecon.errors import CaseError

    try:
        return checks(evaluate(case, unsolved="raise"))
    except CaseError:
        return []


def base_line(case: "Case") -> tuple[str, bool]:
    """The same as a line of a study, and whether one of them fails."""
    from geoecon.audit import verdict

    found = base_checks(case)
    failed = not all(one.holds for one in found)
    return f"Checks of the case as it stands: {verdict(found) if found else 'none, it cannot be worked out'}.", failed


def base_alarm(case: "Case") -> str:
    """What a chart or a table of a study has to carry where a check of its case fails; empty where all hold."""
    from geoecon.report.checks import alarm

    return alarm(base_checks(case))


def with_base_checks(shown: dict[str, Any], case: "Case") -> dict[str, Any]:
    """A study as plain objects, with the checks of the case that it starts from."""
    return shown | {"checks": [one.as_json() for one in base_checks(case)]}
