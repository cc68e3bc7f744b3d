"""A study as everything it is told in: lines for a terminal, JSON, a table and a chart."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from geoecon.report.tables import Column

if TYPE_CHECKING:
    from geoecon.report.charts import Chart


@dataclass(frozen=True)
class Told:
    """Lines for a width, plain objects, columns under headings with units, and how the chart is drawn where it is wanted."""

    say: Callable[[int | None], Iterable[str]]
    json: dict[str, Any]
    columns: Mapping[str, Column]
    draw: "Callable[[], Chart]"

    @property
    def lines(self) -> tuple[str, ...]:
        """The lines where there is room for all of them."""
        return tuple(self.say(None))
