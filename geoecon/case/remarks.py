"""What is odd in a case without being a fault, in words."""

from collections.abc import Iterator

import numpy as np

from geoecon import units
from geoecon.case.fields import Stated, about
from geoecon.case.schema import TABLES, CaseTables
from geoecon.case.uncertainty import ends, numbers


def remarks(case: CaseTables) -> Iterator[str]:
    """Numbers of a case of one scenario that lie outside the range in which the case itself says they are."""
    for path, declared in case.uncertainty.inputs.items():
        table, _, leaf = path.partition(".")
        now, described = getattr(getattr(case, table), leaf), about(TABLES[table], leaf)
        own = now.values if isinstance(now, Stated) else np.atleast_1d(np.asarray(now, dtype=np.float64))
        if now is None or own.size != 1:
            continue
        low, high = ends(numbers(declared, described, now, case.money.currency))
        if low <= own[0] <= high:
            continue
        kind = now.kind if isinstance(now, Stated) else (described.kinds or ("",))[0]
        came, least, most = (_in_words(value, kind, case.money.currency) for value in (float(own[0]), low, high))
        side = f"below the least of it, {least}" if own[0] < low else f"above the most of it, {most}"
        words = "the case's own value lies outside what it says of how sure it is"
        yield f"{path} is {came}, {side}: {words} (uncertainty.{path})"


def _in_words(value: float, kind: str, currency: str) -> str:
    if not kind:
        return f"{value:.4g}"
    unit = units.unit_shown(kind, units.SYSTEMS[0], currency)
    return f"{units.from_inside(value, kind, unit, currency):.4g} {unit}"
