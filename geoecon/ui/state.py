"""What a visitor has chosen: a base case, edits to it, and units. The session holds it, the address mirrors it.

An edit is the same `path=text` pair as `--set` on the command line. So a link carries a shipped case and the edits, reload
keeps them, and the browser's back button takes the last one back.

What a visitor did is found by comparing widgets with what was last drawn in them, at the start of a run. A callback would
not do: where another change follows at once, the framework gives a callback up at its first look at the session, and does
not call it again. A comparison that is given up is made again in the next run.
"""

import json
import time
import tomllib
import uuid
from collections import OrderedDict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import streamlit as st
from streamlit.runtime.uploaded_file_manager import UploadedFile

from geoecon import shipped_cases
from geoecon.case import Case
from geoecon.case.fields import about
from geoecon.case.reading import words_of
from geoecon.case.schema import TABLES
from geoecon.errors import CaseError, Fault
from geoecon.units import LONGEST_TEXT, SYSTEMS, in_system

FIRST_CASE = "sorrel-basin"
UPLOAD = "a file of mine"
UPLOADED, UPLOADED_CASE = "uploaded-", "uploaded case"
MOST_UPLOADS = 64
LAG_SECONDS = 1.0
FIELD = "field:"


@dataclass(frozen=True)
class Upload:
    """An uploaded case and the folder in which the tables that came with it stand, where some did."""

    text: str
    folder: TemporaryDirectory[str] | None = None

    @property
    def source(self) -> str:
        """Where the case seems to stand, so that its tables are found beside it."""
        return str(Path(self.folder.name, UPLOADED_CASE)) if self.folder else UPLOADED_CASE


@st.cache_resource
def _uploads() -> OrderedDict[str, Upload]:
    """Uploaded cases by a random name, on the server, the latest few."""
    return OrderedDict()


def keep_upload(text: str, tables: Mapping[str, bytes] | None = None) -> str:
    """Keep an uploaded case, with tables by the name of their file, and return the name under which an address finds it."""
    kept = _uploads()
    name = f"{UPLOADED}{uuid.uuid4().hex}"
    kept[name] = Upload(text, _folder_of(tables) if tables else None)
    while len(kept) > MOST_UPLOADS:
        _, gone = kept.popitem(last=False)
        if gone.folder:
            gone.folder.cleanup()
    return name


def _folder_of(tables: Mapping[str, bytes]) -> TemporaryDirectory[str]:
    folder = TemporaryDirectory(prefix="geoecon-")
    for name, data in tables.items():
        Path(folder.name, Path(name).name).write_bytes(data)
    return folder


def sync() -> None:
    """First thing in every run: take over the address where a person changed it, not where it lags behind an edit."""
    s = st.session_state
    if "edits" not in s:
        s.drawn, s.pending, s.touched, s.wrote_at = {}, [], False, 0.0
        s.before, s.took_at = {}, 0.0
        s.seen = _came()
        _take(*s.seen)
        return
    _take_done()
    if s.touched:  # a run with an edit sees the address that the edit wrote, not the browser's
        s.touched, s.wrote_at = False, time.monotonic()
    elif _came() in [s.seen, *s.pending][:-1] and time.monotonic() - s.wrote_at > LAG_SECONDS:
        s.seen, s.pending = _came(), []  # back to an address before the last edit, which no run has seen since
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


def _take_done() -> None:
    """Do what a visitor did to widgets, which hold something else than was drawn in them: fields first, then the rest."""
    s = st.session_state
    done = {key: s[key] for key, drawn in s.drawn.items() if s.get(key) not in (None, drawn) and not _lags(key)}
    if done:
        _observe()  # once: after the first change the address is the one written here
    for key in sorted(done, key=lambda key: not key.startswith(FIELD)):
        if key.startswith(FIELD):
            _edit(key.removeprefix(FIELD), str(done[key]))
        else:
            CONTROLS[key](done[key])
        s.drawn[key] = done[key]


def _lags(key: str) -> bool:
    """Whether a widget still reports what was drawn in it before another address was taken over a moment ago.

    Twice back in one breath comes with widgets that the browser has not redrawn after the first.
    """
    s = st.session_state
    return bool(time.monotonic() - s.took_at < LAG_SECONDS and s[key] in s.before.get(key, ()))


def draw(key: str, value: Any) -> str:
    """Put into a widget what it is to show, and return its key.

    Only where it differs: what is put in anew replaces what a person is typing there at this moment.
    """
    s = st.session_state
    if s.get(key) != value:
        s[key] = value
    s.drawn[key] = value
    return key


def draw_field(path: str) -> str:
    """Put into the widget of a field what it is to show, and return its key."""
    return draw(f"{FIELD}{path}", shown(path))


def _take(name: str, system: str, pairs: list[str]) -> None:
    """Take over what an address says; of a case that is not known, its edits wait for its file."""
    s, now = st.session_state, time.monotonic()
    earlier = s.before if now - s.took_at < LAG_SECONDS else {}
    s.before, s.took_at = {key: [*earlier.get(key, ()), drawn] for key, drawn in s.drawn.items()}, now
    known = _text_of(name) is not None
    _stand_on(name if known else FIRST_CASE)
    s.system = system if system in SYSTEMS else SYSTEMS[0]
    if s.system != system:
        s.dropped.append(f"units {_short(system)} are not known; there are: {', '.join(SYSTEMS)}")
    if known:
        _make(pairs)
    else:
        s.waiting, s.wants_file = (name, pairs), True
        made = f", and the changes in the address ({len(pairs)}) will be made to it" if pairs else ""
        s.dropped.append(f"case {_short(name)} is not known here any more; upload its file again{made}")


def _stand_on(name: str) -> None:
    """Begin anew with a base case, as it is."""
    s = st.session_state
    s.case_name, s.waiting, s.wants_file = name, None, False
    s.edits, s.rejected, s.dropped, s.upload_faults = {}, {}, [], []


def _make(pairs: Sequence[str]) -> None:
    """Make edits that come from outside, those that only go together at once: every pair is checked like `--set`."""
    s = st.session_state
    every = {path: text for path, _, text in (pair.partition("=") for pair in pairs)}
    if all("=" in pair for pair in pairs) and not _problem({**s.edits, **every}):
        s.edits |= every
        return
    for pair in pairs:
        path, equals, text = pair.partition("=")
        problem = _problem({**s.edits, path: text}, path) if equals else "has no '='"
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
        kept = _uploads().get(name)
        return kept.text if kept else None
    file = shipped_cases().get(name)
    return file.read_text(encoding="utf-8") if file else None


def base_case() -> Case:
    """The case that edits are made to."""
    name = st.session_state.case_name
    source = shipped_cases().get(name) or _uploads().get(name, Upload("")).source
    return _read(_text_of(name) or "", str(source))


@lru_cache(maxsize=MOST_UPLOADS)
def _read(text: str, source: str) -> Case:
    """A case by its text: every field of a page asks for it."""
    return Case.read(text, source)


def case() -> Case:
    """The case with the visitor's edits; every edit was checked when it was made."""
    base = base_case()
    return base.with_texts(st.session_state.edits) if st.session_state.edits else base


def _faults(edits: dict[str, str]) -> list[Fault]:
    """What is wrong with a set of edits."""
    try:
        base_case().with_texts(edits)
    except CaseError as error:
        return list(error.faults)
    return []


def _problem(edits: dict[str, str], path: str = "") -> str:
    """What is wrong with a set of edits, in words, or nothing; other fields than the one at a path are named."""
    said = []
    for fault in _faults(edits):
        words = words_of(fault)
        said.append(words if fault.path in {path, ""} else f"{fault.path} {words}")
    return "; ".join(said)


def _together(waiting: dict[str, str]) -> dict[str, str]:
    """Those texts, refused one by one, that go together with all edits; what is at fault by itself is left to wait."""
    s, taken = st.session_state, dict(waiting)
    while taken:
        faulty = {fault.path for fault in _faults({**s.edits, **taken})}
        if not faulty:
            return taken
        if not faulty & set(taken):
            return {}
        taken = {path: text for path, text in taken.items() if path not in faulty}
    return taken


def picked() -> str:
    """What the picker of cases shows."""
    s = st.session_state
    return UPLOAD if s.wants_file or s.case_name not in shipped_cases() else str(s.case_name)


def _pick(name: str) -> None:
    """Begin anew with an example, or ask for a file."""
    s = st.session_state
    s.upload_faults, s.wants_file = [], name == UPLOAD
    if not s.wants_file:
        _choose(name)


def _upload(files: list[UploadedFile]) -> None:
    """Begin anew with a case, and tables that it names, and make the edits that wait for it; or say what is wrong."""
    s = st.session_state
    cases = [file for file in files if file.name.endswith(".toml")]
    if len(cases) != 1:
        s.upload_faults = ["choose one case file (TOML), and with it the tables that it names"] if files else []
        return
    file, tables = cases[0], {file.name: file.getvalue() for file in files if not file.name.endswith(".toml")}
    try:
        text = file.getvalue().decode("utf-8").removeprefix("\ufeff")
        Case.read(text, file.name)
    except UnicodeDecodeError:
        s.upload_faults = [f"{file.name} is not UTF-8 text"]
    except CaseError as error:
        s.upload_faults = [str(fault) for fault in error.faults]
    else:
        _, pairs = s.waiting or ("", [])
        _choose(keep_upload(text, tables), pairs)


def _choose(name: str, pairs: Sequence[str] = ()) -> None:
    _stand_on(name)
    _make(pairs)
    _write()
    st.session_state.drawn = {}  # what fields hold was drawn for another case


def _choose_units(system: str) -> None:
    """Show quantities in another system; what was typed stays as it was typed."""
    st.session_state.system = system
    _write()


CONTROLS: dict[str, Callable[[Any], None]] = {"picked": _pick, "file": _upload, "units": _choose_units}


def _edit(path: str, text: str) -> None:
    """Change one field of the case, or keep what was typed beside the reason why it cannot be."""
    s = st.session_state
    s.touched = True
    if text.strip() == written(base_case(), path):
        _without(path)
        _write()
        return
    before = {other: typed for other, (typed, _) in s.rejected.items() if other != path}
    taken = _together({**before, path: text})
    if path not in taken and not _faults({**s.edits, path: text}):
        taken = {path: text}
    if path not in taken:
        s.rejected[path] = (text, _problem({**s.edits, path: text}, path))
        return
    s.edits |= taken
    s.rejected = {other: (typed, _problem({**s.edits, other: typed}, other)) for other, typed in before.items()
                  if other not in taken}  # fmt: skip
    _write()


def _without(path: str) -> None:
    """Take one edit back, and keep those that cannot be without it beside the reason why."""
    s = st.session_state
    s.rejected.pop(path, None)
    rest = {other: text for other, text in s.edits.items() if other != path}
    s.edits = {} if _problem(rest) else rest
    for other, text in rest.items():
        if other in s.edits:
            continue
        if problem := _problem({**s.edits, other: text}, other):
            s.rejected[other] = (text, problem)
        else:
            s.edits[other] = text


def forget(path: str | None = None) -> None:
    """Take one edit back, or all."""
    _observe()
    s = st.session_state
    if path:
        _without(path)
    else:
        s.edits, s.rejected = {}, {}
    _write()


def written(of: Case, path: str) -> str:
    """The words in which a field stands in a case: as written, or its default; empty where it has neither."""
    table, _, leaf = path.partition(".")
    value = _tables_of(of.to_toml()).get(table, {}).get(leaf)
    if value is None and not TABLES[table].model_fields[leaf].is_required():
        value = TABLES[table].model_fields[leaf].default
    return "" if value is None else _in_toml(value, inside=False)


@lru_cache(maxsize=MOST_UPLOADS)
def _tables_of(text: str) -> dict[str, Any]:
    return tomllib.loads(text)


def _in_toml(value: Any, *, inside: bool = True) -> str:
    """A value as it stands on the right of `=` in a file; a text alone needs no quotes."""
    if isinstance(value, dict):
        return f"{{ {', '.join(f'{key} = {_in_toml(one)}' for key, one in value.items())} }}"
    if isinstance(value, list | tuple):
        return f"[{', '.join(_in_toml(one) for one in value)}]"
    if isinstance(value, bool):
        return str(value).lower()
    return json.dumps(value, ensure_ascii=False) if inside and isinstance(value, str) else str(value)


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


def chosen(path: str) -> set[str]:
    """What a choice says in the case as it stands, and what was chosen there and waits to be taken over."""
    return {st.session_state.edits.get(path, written(base_case(), path)), shown(path)}
