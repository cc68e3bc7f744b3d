"""What a decision asks for: the criteria of the people who decide, and how sure they want to be."""

from geoecon.arrays import Floats
from geoecon.case.fields import Table, number, words


class Criterion(Table):
    """One thing that has to hold, and with which chance."""

    target: str = words('A metric and the value it has to reach, such as "irr_equity >= 10 %/yr"')
    chance: Floats = number("share", 0.01, 0.99, "Least chance with which it has to hold", default="50 %", varies=False)


class Decision(Table):
    """Go, wait or stop: by which criteria."""

    criteria: tuple[Criterion, ...] = ()
    stop_chance: Floats = number(
        "share", 0.001, 0.5, "A criterion with less chance than this, as things are known, is a stop", default="10 %",
        varies=False,
    )  # fmt: skip
