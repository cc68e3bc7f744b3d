"""The text of a case file: where in it a value stands, and the text with other values in it."""

import tomllib
from collections.abc import Mapping
from typing import Any

_MARK = "\u2400mark\u2400"


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
    """The text of a case file with some values changed and all else, comments included, as it was."""
    if not changes:
        return text
    import tomlkit

    document = tomlkit.parse(text)
    for path, value in changes.items():
        *tables, leaf = path.split(".")
        at: Any = document
        for name in tables:
            if not isinstance(at.get(name), Mapping):
                at[name] = {"all": at[name]} if name in at else tomlkit.table()
            at = at[name]
        at[leaf] = value
    return tomlkit.dumps(document)
