"""Results as files, written whole or not at all."""

import contextlib
import csv
import io
import os
import tempfile
from collections.abc import Mapping
from pathlib import Path

from geoecon.errors import OutputError
from geoecon.result import Result


def write_all(folder: Path, files: Mapping[str, bytes]) -> list[Path]:
    """Write files into a folder, made if it is missing: all of them, or none if one cannot be written.

    Raises `OutputError`.
    """
    aside: list[tuple[Path, Path]] = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, data in files.items():
            aside.append((_write_aside(folder, data), folder / name))
        _put_in_place(aside)
    except OSError as error:
        raise OutputError(f"{folder}: cannot be written ({error.strerror or error}); nothing was changed") from None
    finally:
        for part, _ in aside:
            part.unlink(missing_ok=True)
    return [file for _, file in aside]


def _put_in_place(aside: list[tuple[Path, Path]]) -> None:
    """Move every part to its name; if one cannot be moved, what stood there before comes back."""
    kept: list[tuple[Path, Path | None]] = []
    try:
        for part, file in aside:
            if file.is_dir():
                raise IsADirectoryError(f"{file.name} is a folder")
            old = file.replace(part.with_suffix(".old")) if file.exists() else None
            kept.append((file, old))
            part.replace(file)
    except OSError:
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
    json = result.as_json()
    annual = [(f"{name} [{result.units[name]}]", *values) for name, values in json["annual"].items()]
    ledger = [
        ("step", *json["ledger"]),
        ("year 1 [MWh]", *json["ledger"].values()),
        ("life [MWh]", *json["ledger_life"].values()),
    ]
    return {
        "result.json": result.to_json().encode(),
        "annual.csv": _csv(zip(*annual, strict=True)),
        "ledger.csv": _csv(zip(*ledger, strict=True)),
    }


def _csv(rows: "zip[tuple[object, ...]]") -> bytes:
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows(["" if cell is None else cell for cell in row] for row in rows)
    return text.getvalue().encode()
