"""What can go wrong for a reason a person can mend: one base class, a few kinds, the facts kept as attributes."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass


class GeoeconError(Exception):
    """Base of every error raised on purpose; its text is fit to show to a person."""


class UnitError(GeoeconError, ValueError):
    """A text is not a number with one of the units that its field takes."""


class DistributionError(GeoeconError, ValueError):
    """What is said of how sure a number is cannot be; `faults` holds words for each part at fault, "" for the whole."""

    def __init__(self, faults: Mapping[str, str]) -> None:
        self.faults = dict(faults)
        super().__init__("; ".join(self.faults.values()))


class TableError(GeoeconError, LookupError):
    """A table shipped with the package, or an entry asked of it, is missing."""


class OutputError(GeoeconError, OSError):
    """A result could not be written; nothing was left half written."""


class TableFileError(GeoeconError, ValueError):
    """A table in a file beside a case cannot be read; its text says what is wrong, where, and what to do."""


@dataclass(frozen=True)
class Fault:
    """One thing wrong in a case: where it stands, what came, and what to do instead."""

    path: str
    message: str
    line: int | None = None

    def __str__(self) -> str:
        where = f"line {self.line}: " if self.line else ""
        return f"{where}{self.path}: {self.message}" if self.path else f"{where}{self.message}"


class CaseError(GeoeconError, ValueError):
    """A case cannot be used; `faults` holds everything found wrong with it, in the order of the file.

    rest : what is left of the case without the values at fault, if that is a case
    """

    def __init__(self, faults: Sequence[Fault], source: str = "case", rest: object = None) -> None:
        self.source = source
        self.rest = rest
        self.faults = tuple(sorted(faults, key=lambda fault: fault.line or 0))
        super().__init__(self.source, self.faults)

    def __str__(self) -> str:
        return "\n".join(f"{self.source}: {fault}" for fault in self.faults)
