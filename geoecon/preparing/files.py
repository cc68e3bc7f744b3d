"""Files that stand beside a case."""

from collections.abc import Callable
from functools import lru_cache
from pathlib import Path
from typing import TypeVar

from geoecon.case import Case
from geoecon.errors import CaseError, Fault, TableFileError

T = TypeVar("T")
LARGEST_TABLE = 1_000_000  # bytes


def beside(case: Case, path: str, name: str, read: Callable[[str], T], largest: int = LARGEST_TABLE) -> T:
    """What a file that stands beside a case holds.

    path : of the field that names it;  read : from its text; may raise `TableFileError`
    Raises `CaseError` where the file is missing, too large, no UTF-8 text, or cannot be read.
    """
    file = Path(case.source).parent / name
    try:
        about = file.stat()
        if about.st_size > largest:
            raise TableFileError(f"holds {about.st_size:,} bytes; a table has at most {largest:,}")
        return read(_text_of(file, about.st_mtime))
    except OSError as error:
        words = error.strerror or str(error)
    except UnicodeDecodeError:
        words = "is not UTF-8 text"
    except TableFileError as error:
        words = str(error)
    raise CaseError([Fault(path, f"{name}: {words}", case.line(path))], case.source)


@lru_cache(maxsize=8)
def _text_of(file: Path, changed: float) -> str:
    return file.read_text(encoding="utf-8")
