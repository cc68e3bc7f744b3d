"""Results as files, written whole or not at all."""

import contextlib
import csv
import io
import json
import os
import tempfile
from collections.abc import Iterator, Mapping
from pathlib import Path

from geoecon.audit import with_checks
from geoecon.errors import OutputError
from geoecon.result import Result


def write_all(files: Mapping[Path, bytes]) -> list[Path]:
    """Write files, their folders made where they are missing: all of them, or none if one cannot be written.

    Raises `OutputError`.
    """
    made: list[Path] = []
    aside: list[tuple[Path, Path]] = []
    try:
        for file, data in files.items():
            with _naming(file):
                _make_folder(file.parent, made)
                aside.append((_write_aside(file.parent, data), file))
        _put_in_place(aside)
    except BaseException:
        for part, _ in aside:
            part.unlink(missing_ok=True)
        for folder in reversed(made):
            with contextlib.suppress(OSError):  # somebody else has put something there since
                folder.rmdir()
        raise
    return list(files)


@contextlib.contextmanager
def _naming(file: Path) -> Iterator[None]:
    """Say of a failure which file it is about."""
    try:
        yield
    except OSError as error:
        raise OutputError(f"{file}: cannot be written ({error.strerror or error}); nothing was changed") from None


def _make_folder(folder: Path, made: list[Path]) -> None:
    """Make a folder and those above it, and note which were missing."""
    missing = [above for above in (folder, *folder.parents) if not above.exists()]
    for above in reversed(missing):
        above.mkdir()
        made.append(above)


def _put_in_place(aside: list[tuple[Path, Path]]) -> None:
    """Move every part to its name; if one cannot be moved, what stood there before comes back."""
    kept: list[tuple[Path, Path | None]] = []
    try:
        for part, file in aside:
            with _naming(file):
                if file.is_dir():
                    raise IsADirectoryError("it is a folder")
                old = file.replace(part.with_suffix(".old")) if file.exists() else None
                kept.append((file, old))
                part.replace(file)
    except BaseException:
        for file, old in kept:
            file.unlink(missing_ok=True)
            if old:
                old.replace(file)
        raise
    for _, old in kept:
        if old:
            old.unlink()


def _write_aside(folder: Path, data: bytes) -> Path:
    handle, name = tempfile.mkstemp(dir=folder, prefix=".", suffix=".part")
    try:
        with os.fdopen(handle, "wb") as part:
            part.write(data)
            part.flush()
            os.fsync(part.fileno())
        os.chmod(name, 0o644)  # mkstemp lets nobody else read
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(name)
        raise
    return Path(name)


def result_files(result: Result) -> dict[str, bytes]:
    """A result as files: everything as JSON, the annual table and the ledger as CSV."""
    shown = with_checks(result)
    annual = [(f"{name} [{result.units[name]}]", *values) for name, values in shown["annual"].items()]
    ledger = [
        ("step", *shown["ledger"]),
        ("year 1 [MWh]", *shown["ledger"].values()),
        ("life [MWh]", *shown["ledger_life"].values()),
    ]
    return {
        "result.json": (json.dumps(shown, indent=2, ensure_ascii=False, allow_nan=False) + "\n").encode(),
        "annual.csv": _csv(zip(*annual, strict=True)),
        "ledger.csv": _csv(zip(*ledger, strict=True)),
    }


def _csv(rows: "zip[tuple[object, ...]]") -> bytes:
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows(["" if cell is None else cell for cell in row] for row in rows)
    return text.getvalue().encode()
