"""What a visitor has chosen: a base case, edits to it, and units. The session holds it, the address mirrors it.

An edit is the same `path=text` pair as `--set` on the command line. So a link carries a shipped case and the edits, reload
keeps them, and the browser's back button takes the last one back.

What was typed is found by comparing a field with what was last drawn in it, at the start of a run. A callback would not do:
where another edit follows at once, the framework gives a callback up at its first look at the session, and does not
call it again.
"""

import time
import uuid
from collections import OrderedDict
from collections.abc import Sequence

import streamlit as st

from geoecon import shipped_cases
from geoecon.case import Case, load_case
from geoecon.case.fields import about
from geoecon.case.schema import TABLES
from geoecon.errors import CaseError
from geoecon.units import LONGEST_TEXT, SYSTEMS, in_system

FIRST_CASE = "sorrel-basin"
UPLOADED = "uploaded-"
MOST_UPLOADS = 64
LAG_SECONDS = 1.0
FIELD = "field:"


@st.cache_resource
def _uploads() -> OrderedDict[str, str]:
    """Texts of uploaded files by a random name, on the server, the latest few."""
    return OrderedDict()


def keep_upload(text: str) -> str:
    """Keep an uploaded case and return the name under which an address finds it."""
    kept = _uploads()
    name = f"{UPLOADED}{uuid.uuid4().hex}"
    kept[name] = text
    while len(kept) > MOST_UPLOADS:
        kept.popitem(last=False)
    return name


def sync() -> None:
    """First thing in every run: take over the address where a person changed it, not where it lags behind an edit."""
    s = st.session_state
    if "edits" not in s:
        s.rejected, s.dropped, s.drawn, s.pending, s.touched, s.wrote_at = {}, [], {}, [], False, 0.0
        s.seen = _came()
        _take(*s.seen)
        return
    _take_typed()
    if s.touched:  # a run with an edit sees the address that the edit wrote, not the browser's
        s.touched, s.wrote_at = False, time.monotonic()
    elif _came() == s.seen and s.pending and time.monotonic() - s.wrote_at > LAG_SECONDS:
        s.pending = []  # back to the address before an edit that no run has seen since
        _take(*s.seen)
    else:
        _observe()


def _came() -> tuple[str, str, list[str]]:
    """What the address says: case, units, edits."""
    query = st.query_params
    return query.get("case", FIRST_CASE), query.get("units", SYSTEMS[0]), query.get_all("set")


def _observe() -> None:
    """Compare the browser's address with the last one seen and those written since.

    One that was written and not yet seen confirms that writing, however late it comes. One that is neither is a person's:
    back, forward, or a link. Edits ask no clock, so a slow machine loses none. Only a run without an edit that comes with
    the address before the last edit is in doubt: at once it is a link clicked from a page drawn before, later it is back.
    """
    s, came = st.session_state, _came()
    if came in s.pending:
        s.pending = s.pending[s.pending.index(came) + 1 :]
        s.seen = came
    elif came != s.seen:
        s.seen, s.pending = came, []
        _take(*came)


def _take_typed() -> None:
    """Edit every field that holds something else than was drawn in it."""
    s = st.session_state
    now = {path: s.get(f"{FIELD}{path}") for path in s.drawn}
    typed = {path: str(text) for path, text in now.items() if text is not None and text != s.drawn[path]}
    if typed:
        _observe()  # once: after the first edit the address is the one written here
    for path, text in typed.items():
        _edit(path, text)
        s.drawn[path] = text


def draw(path: str) -> str:
    """Put into the widget of a field what it is to show, and return its key.

    Only where it differs: what is put in anew replaces what a person is typing there at this moment.
    """
    s, key = st.session_state, f"{FIELD}{path}"
    drawn, text = s.drawn, shown(path)
    if s.get(key) != text:
        s[key] = text
    drawn[path] = text
    return key


def _take(name: str, system: str, pairs: list[str]) -> None:
    """Take over what an address says; of a case that is not known, its edits wait for its file."""
    s = st.session_state
    s.system = system if system in SYSTEMS else SYSTEMS[0]
    s.edits, s.rejected, s.dropped = {}, {}, []
    if s.system != system:
        s.dropped.append(f"units {_short(system)} are not known; there are: {', '.join(SYSTEMS)}")
    s.wants_file = _text_of(name) is None
    if s.wants_file:
        s.case_name, s.waiting = FIRST_CASE, (name, pairs)
        made = f", and the changes in the address ({len(pairs)}) will be made to it" if pairs else ""
        s.dropped.append(f"case {_short(name)} is not known here any more; upload its file again{made}")
    else:
        s.case_name, s.waiting = name, None
        _make(pairs)


def _make(pairs: Sequence[str]) -> None:
    """Make edits that come from outside: every pair is checked like `--set`."""
    s = st.session_state
    for pair in pairs:
        path, equals, text = pair.partition("=")
        problem = _problem({**s.edits, path: text}) if equals else "has no '='"
        if problem:
            s.dropped.append(f"{_short(path)}: {problem}")
        else:
            s.edits[path] = text


def _short(text: str) -> str:
    """A text of an address as it is quoted in a message: control characters as escapes, and not without end."""
    return repr(text if len(text) <= LONGEST_TEXT else text[: LONGEST_TEXT - 3] + "...")


def _write() -> None:
    """Mirror the choice in the address; the browser will send it back some runs later."""
    s = st.session_state
    s.touched = True
    st.query_params.from_dict(address())
    s.pending = [*s.pending, _came()]


def address() -> dict[str, str | list[str]]:
    """The address of the choice, for links between pages and to hand on; one that waits for its file stays as it came."""
    s = st.session_state
    here = s.case_name, [f"{path}={text}" for path, text in s.edits.items()]
    name, pairs = s.waiting if s.waiting and not s.edits else here
    choice: dict[str, str | list[str]] = {"case": name, "set": pairs}
    return choice | ({"units": s.system} if s.system != SYSTEMS[0] else {})


def _text_of(name: str) -> str | None:
    """Text of a case by its name in the address."""
    if name.startswith(UPLOADED):
        return _uploads().get(name)
    file = shipped_cases().get(name)
    return file.read_text(encoding="utf-8") if file else None


def base_case() -> Case:
    """The case that edits are made to."""
    name = st.session_state.case_name
    if name in shipped_cases():
        return load_case(shipped_cases()[name])
    return Case.read(_text_of(name) or "", "uploaded case")


def case() -> Case:
    """The case with the visitor's edits; every edit was checked when it was made."""
    base = base_case()
    return base.with_texts(st.session_state.edits) if st.session_state.edits else base


def _problem(edits: dict[str, str]) -> str:
    """What is wrong with a set of edits, in one sentence, or nothing."""
    try:
        base_case().with_texts(edits)
    except CaseError as error:
        return error.faults[0].message.removeprefix("as set for this run: ")
    return ""


def choose(name: str) -> None:
    """Begin anew with another base case."""
    _observe()
    _begin(name)


def choose_upload(text: str) -> None:
    """Begin anew with the text of a file, and make the edits that wait for it."""
    _observe()
    _, pairs = st.session_state.waiting or ("", [])
    _begin(keep_upload(text), pairs)


def _begin(name: str, pairs: Sequence[str] = ()) -> None:
    s = st.session_state
    s.case_name, s.waiting, s.edits, s.rejected, s.dropped, s.drawn = name, None, {}, {}, [], {}
    s.wants_file = False
    _make(pairs)
    _write()


def choose_units(system: str) -> None:
    """Show quantities in another system; what was typed stays as it was typed."""
    _observe()
    st.session_state.system = system
    _write()


def _edit(path: str, text: str) -> None:
    """Change one field of the case, or keep what was typed beside the reason why it cannot be."""
    s = st.session_state
    s.touched = True
    if text.strip() == written(base_case(), path):
        s.rejected.pop(path, None)
        s.edits.pop(path, None)
        _write()
        return
    problem = _problem({**s.edits, path: text})
    if problem:
        s.rejected[path] = (text, problem)
        return
    s.rejected.pop(path, None)
    s.edits[path] = text
    _write()


def forget(path: str | None = None) -> None:
    """Take one edit back, or all."""
    _observe()
    s = st.session_state
    for gone in [path] if path else list(s.edits):
        s.edits.pop(gone, None)
        s.rejected.pop(gone, None)
    _write()


def written(of: Case, path: str) -> str:
    """The words in which a field stands in a case: as written, or its default; empty where it has neither."""
    table, _, leaf = path.partition(".")
    text = of.text(path)
    if text is None:
        default = TABLES[table].model_fields[leaf].default
        text = "" if default is None or TABLES[table].model_fields[leaf].is_required() else str(default)
    return text


def shown(path: str) -> str:
    """What the widget of a field shows: what was just typed in vain, the edit, or the base in the chosen units."""
    s = st.session_state
    if path in s.rejected:
        return str(s.rejected[path][0])
    if path in s.edits:
        return str(s.edits[path])
    table, _, leaf = path.partition(".")
    base = base_case()
    return in_system(written(base, path), about(TABLES[table], leaf).kinds, s.system, base.money.currency)
