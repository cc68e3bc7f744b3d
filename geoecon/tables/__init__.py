"""Values that are neither an input nor a definition, each with its source; and the one loader for them.

Every row of a table names its `source` (a key of sources.csv), the place in it, and how good the evidence is:
measured, official, reviewed, compiled, recalled (nobody here has read the source), assumed.
"""

import csv
from functools import lru_cache
from importlib.resources import files

from geoecon.errors import TableError

EVIDENCE = ("measured", "official", "reviewed", "compiled", "recalled", "assumed")
SOURCED = (
    "benchmarks", "casing_programs", "default_ranges", "drilling_rates", "drilling_success", "flammables", "fluid_safety",
    "fluids", "gates", "geothermometers", "household_use", "leases", "measurements", "phase_costs", "power_density",
    "price_index", "pump_limits", "screened_case", "site_defaults", "site_limits", "stresses", "tax_rules", "unusual",
    "well_cost_curves", "well_cost_points",
)  # fmt: skip

Row = dict[str, str]


@lru_cache
def table(name: str) -> tuple[Row, ...]:
    """The rows of a table, column -> text."""
    if not (files(__name__) / f"{name}.csv").is_file():
        raise TableError(f"no table {name!r} is shipped")
    return tuple(csv.DictReader(lines(f"{name}.csv")))


def lines(file: str) -> list[str]:
    """The lines of a file that is shipped here."""
    return (files(__name__) / file).read_text(encoding="utf-8").splitlines()


def row(name: str, /, **where: str) -> Row:
    """The one row of a table whose columns have the values given."""
    found = [r for r in table(name) if all(r[column] == value for column, value in where.items())]
    if len(found) != 1:
        raise TableError(f"table {name!r} has {len(found)} rows with {where}")
    return found[0]


def citation(source: str) -> str:
    """The citation behind a key of sources.csv."""
    return row("sources", source=source)["citation"]
