"""A TOML file as a person wrote it: its text, its values, the line of a value, and what the schema finds wrong in words."""

import difflib
import tomllib
from collections.abc import Callable, Iterable, Mapping, MutableMapping
from functools import lru_cache
from pathlib import Path
from typing import Any

from geoecon.case.fields import Table, about
from geoecon.errors import CaseError, Fault

LARGEST_FILE = 1_000_000
_MARK = "\u2400mark\u2400"


def text_of(file: Path) -> str:
    """The text of a file. Raises `CaseError` where it is none, or not UTF-8."""
    problem = _unreadable(file)
    if problem:
        raise CaseError([Fault("", problem)], str(file))
    try:
        text = file.read_bytes().decode("utf-8")
    except UnicodeDecodeError as error:
        raise CaseError([Fault("", f"is not UTF-8 text (byte {error.start}); save it as UTF-8")], str(file)) from None
    except OSError as error:
        raise CaseError([Fault("", f"cannot be read: {error.strerror}")], str(file)) from None
    return text.removeprefix("\ufeff")


def _unreadable(file: Path) -> str:
    if not file.exists():
        return "no such file"
    if not file.is_file():
        return "is not a file; name one case file"
    if file.stat().st_size > LARGEST_FILE:
        return f"holds {file.stat().st_size:,} bytes; a case file has at most {LARGEST_FILE:,}"
    return ""


def parse(text: str, source: str) -> dict[str, Any]:
    """The values of a TOML text. Raises `CaseError`."""
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise CaseError([Fault("", f"is not valid TOML: {error}")], source) from None
    except RecursionError:
        raise CaseError([Fault("", "is not a case: tables are nested too deeply")], source) from None
    except ValueError:  # tomllib hands on Python's limit on the digits of a whole number
        raise CaseError([Fault("", "holds a number with thousands of digits")], source) from None


def worded(
    problem: dict[str, Any], kind: type[Table], tables: Mapping[str, type[Table]],
    below: Callable[[list[str]], type[Table] | None] = lambda steps: None,
) -> Fault:  # fmt: skip
    """A schema fault as a sentence: what came, what is allowed, the nearest spelling.

    tables : name -> table of the file;  below : the table under which a path stands where that is a table of its own kind
    """
    steps = [str(step) for step in problem["loc"]]
    path = ".".join(step for step in steps if step != "inputs")
    table = tables.get(steps[0]) if steps else None
    if problem["type"] == "extra_forbidden":
        known = list((table or below(steps) or kind).model_fields)
        what = "field" if len(steps) > 1 else "table"
        return Fault(path, f"is not a known {what}{nearest(steps[-1], known)}")
    if problem["type"] == "missing":
        hint = (
            f" ({about(table, steps[1]).help[0].lower()}{about(table, steps[1]).help[1:]})"
            if table and len(steps) > 1
            else ""
        )
        return Fault(path, f"is missing and has no default{hint}")
    if problem["type"] == "value_error":
        return Fault(path, str(problem["ctx"]["error"]))
    if problem["type"] in {"model_type", "model_attributes_type", "dict_type"}:
        return Fault(path, f"is a table: write [{path}] above its fields")
    return Fault(path, f"{problem['msg'][0].lower()}{problem['msg'][1:]}, not {problem['input']!r:.60}")


def nearest(name: str, known: Iterable[str]) -> str:
    """The end of a message about an unknown name: the nearest one, or all."""
    known = list(known)
    near = difflib.get_close_matches(name, known, n=1) or [k for k in known if k.startswith(name) or name.startswith(k)]
    return f"; did you mean {near[0]!r}?" if near else f"; known are: {', '.join(known)}"


@lru_cache(maxsize=256)  # a search asks for the same line at every value that it tries
def line_of(text: str, path: str) -> int | None:
    """Line of the value at a path, or of the nearest table above it; None if no part of the path is in the text.

    A mark is put where the value is and looked for in the text written back, which finds it however it was written.
    """
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    try:
        document: Any = tomlkit.parse(text)
    except TOMLKitError:
        return None
    steps = steps_of(document.unwrap(), path)
    if not steps:
        return None
    *way, last = steps
    at = document
    for step in way:
        at = at[step]
    if isinstance(at[last], Mapping) and at[last]:
        at, last = at[last], next(iter(at[last]))
    at[last] = _MARK
    return tomlkit.dumps(document).partition(_MARK)[0].count("\n") + 1


def steps_of(data: Any, path: str) -> list[str]:
    """The keys that lead to a path as far as it exists; a key may itself hold dots (`uncertainty."wells.depth"`)."""
    found: list[str] = []
    parts = path.split(".")
    while parts and isinstance(data, Mapping):
        size = next((n for n in range(len(parts), 0, -1) if ".".join(parts[:n]) in data), 0)
        if not size:
            break
        found.append(".".join(parts[:size]))
        data, parts = data[found[-1]], parts[size:]
    return found


def toml_value(text: str) -> Any:
    """A value as on the right of `=` in a file, or the text itself where it needs no quotes."""
    try:
        return tomllib.loads(f"value = {text}")["value"] if "\n" not in text else text
    except ValueError:  # no TOML value, or one with thousands of digits
        return text


def edited(text: str, changes: Mapping[str, Any]) -> str:
    """The text of a file with some values changed, or taken out where None, and all else, comments included, as it was."""
    if not changes:
        return text
    import tomlkit

    document = tomlkit.parse(text)
    for path, value in changes.items():
        *tables, leaf = path.split(".")
        at: Any = document
        if value is None:
            _take_out(document, tables, leaf)
            continue
        for name in tables:
            if not isinstance(at.get(name), Mapping):
                at[name] = {"all": at[name]} if name in at else tomlkit.table()
            at = at[name]
        at[leaf] = value
    return tomlkit.dumps(document)


def _take_out(document: Any, tables: list[str], leaf: str) -> None:
    """Take a value out of a document, where it stands there."""
    at = document
    for name in tables:
        at = at.get(name)
        if not isinstance(at, MutableMapping):
            return
    at.pop(leaf, None)
