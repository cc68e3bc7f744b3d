"""Values of inputs as people read them, in a system of units."""

from collections.abc import Iterable

from geoecon.arrays import Floats
from geoecon.report.amounts import DIGITS, input_text
from geoecon.studies.inputs import Input
from geoecon.units import from_inside


def value_text(chosen: Input, value: float, system: str, currency: str) -> str:
    """One value of an input with its unit, in four digits that count."""
    return input_text(chosen, value, currency, system, DIGITS)


def unit_of(chosen: Input, system: str, currency: str) -> str:
    """The unit in which a system shows an input; empty for a bare number. A volume flow says at which temperature."""
    if not chosen.kind:
        return chosen.unit
    at = "" if chosen.at_degC is None else f" @ {chosen.at_degC:.6g} degC"
    return f"{chosen.shown_in(system, currency)}{at}"


def in_unit(chosen: Input, values: Floats, system: str, currency: str) -> Floats:
    """Values of an input, of the unit used inside, in the unit of a system."""
    if not chosen.kind:
        return values
    unit = chosen.shown_in(system, currency)
    zero, one = (from_inside(number, chosen.kind, unit, currency) for number in (0.0, 1.0))
    return zero + values * (one - zero)


def range_text(chosen: Input, ends: Iterable[float], system: str, currency: str) -> str:
    """A range of an input with its unit, once."""
    unit = unit_of(chosen, system, currency)
    texts = (bare_text(chosen, float(end), system, currency) for end in ends)
    return f"{' to '.join(texts)} {unit}".strip()


def bare_text(chosen: Input, value: float, system: str, currency: str) -> str:
    """A value of an input without the unit that stands beside it."""
    return input_text(chosen, value, currency, system, DIGITS).removesuffix(unit_of(chosen, system, currency)).strip()
