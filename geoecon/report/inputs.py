"""Values of inputs as people read them, in a system of units."""

from collections.abc import Iterable

from geoecon.arrays import Floats
from geoecon.report.sweeps import figure
from geoecon.studies.inputs import Input
from geoecon.units import from_inside, unit_shown


def unit_of(chosen: Input, system: str, currency: str) -> str:
    """The unit in which a system shows an input; empty for a bare number. A volume flow says at which temperature."""
    if not chosen.kind:
        return chosen.unit
    at = "" if chosen.at_degC is None else f" @ {chosen.at_degC:.6g} degC"
    return f"{unit_shown(chosen.kind, system, currency)}{at}"


def in_unit(chosen: Input, values: Floats, system: str, currency: str) -> Floats:
    """Values of an input, of the unit used inside, in the unit of a system."""
    if not chosen.kind:
        return values
    unit = unit_shown(chosen.kind, system, currency)
    zero, one = (from_inside(number, chosen.kind, unit, currency) for number in (0.0, 1.0))
    return zero + values * (one - zero)


def value_text(chosen: Input, value: float, system: str, currency: str, digits: int = 4) -> str:
    """One value of an input with its unit."""
    unit = unit_of(chosen, system, currency)
    if not chosen.kind:
        return f"{figure(value, digits)} {unit}".strip()
    shown = from_inside(value, chosen.kind, unit_shown(chosen.kind, system, currency), currency)
    return f"{figure(shown, digits)} {unit}"


def range_text(chosen: Input, ends: Iterable[float], system: str, currency: str, digits: int = 4) -> str:
    """A range of an input with its unit, once."""
    unit = unit_of(chosen, system, currency)
    texts = (value_text(chosen, float(end), system, currency, digits).removesuffix(unit).strip() for end in ends)
    return f"{' to '.join(texts)} {unit}".strip()
