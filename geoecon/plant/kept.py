"""Arrays kept in the cache folder. A damaged, foreign or unwritable file is a miss, never an error."""

import contextlib
import os
import tempfile
from collections.abc import Callable
from dataclasses import fields
from importlib.metadata import version
from pathlib import Path
from typing import Any, TypeVar

import numpy as np

T = TypeVar("T")


def cache_folder() -> Path:
    """Where tables are kept: GEOECON_CACHE, or the user's cache folder."""
    stated = os.environ.get("GEOECON_CACHE")
    base = os.environ.get("XDG_CACHE_HOME") or os.environ.get("LOCALAPPDATA") or str(Path.home() / ".cache")
    return Path(stated) if stated else Path(base) / "geoecon"


def cache_file(what: str, grid: str) -> Path:
    """The file of a table; its name changes with the library of fluids and with the grid."""
    return cache_folder() / f"{what}-{version('CoolProp')}-{grid}.npz"


def kept_or_made(file: Path, kind: type[T], right: Callable[[T], bool], make: Callable[[], T]) -> T:
    """A table from its file, or made and put there.

    kind : a dataclass of arrays;  right : whether what was read is a whole table of this grid
    """
    found = _read(file, kind, right)
    if found is None:
        found = make()
        _write(file, found)
    return found


def _read(file: Path, kind: type[T], right: Callable[[T], bool]) -> T | None:
    """A kept table, or None whatever is wrong with the file: damage shows itself in many ways, and each is a miss."""
    shape: Any = kind
    try:
        with file.open("rb") as handle, np.load(handle, allow_pickle=False) as kept:
            found = kind(**{f.name: kept[f.name] for f in fields(shape)})
        return found if right(found) else None
    except Exception:
        return None


def _write(file: Path, made: Any) -> None:
    """Put a table in place whole; a folder that cannot be written is no fault."""
    with contextlib.suppress(OSError):
        file.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=file.parent, prefix=".", suffix=".part")
        try:
            with os.fdopen(handle, "wb") as part:
                np.savez(part, **{f.name: getattr(made, f.name) for f in fields(made)})
            os.replace(name, file)
        except BaseException:
            os.unlink(name)
            raise
