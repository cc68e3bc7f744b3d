"""Wells built up from usual rates beside rules of thumb for days and for shares of cost, and beside the published curves.

Sources, all from memory and none of them read here (so that these checks say that what is shipped is usual, not that it is
right; rates that have no range of their own were set so that shares and days lie in these bands, as the table notes): days of 1,000 to 3,000 m and shares of cost as training courses of Iceland and Kenya and S. Thorhallsson and B. M.
Sveinbjornsson (Geothermal drilling cost and drilling effectiveness, 2012) give them; penetration of 3 to 8 m/h on bottom.
Seen: pace of one well of a field laboratory in Utah, 9,145 ft in 13 days from spud (its pages of 2021): the fastest granite
well of its time, which bounds what is usual.
"""

import numpy as np
import pytest

import geoecon
from geoecon.case import Case
from geoecon.drilling import well_built_up
from geoecon.tables import row
from geoecon.wells.drilling import spread

TEXT = geoecon.shipped_case("ambry-wells").read_text(encoding="utf-8")
CASE = Case.read(
    TEXT.replace(
        'cost_per_producer = "2.3 MUSD"\ncost_per_injector = "1.9 MUSD"\n', 'cost_method = "built-up"\n'
    ).replace("price_year = 2026", "price_year = 2024")
)
DAYS = {1000.0: (15, 25), 2000.0: (30, 45), 3000.0: (50, 75)}
SHARES = {
    ("rig",): (0.35, 0.45), ("casing", "wellhead"): (0.15, 0.22), ("cement",): (0.06, 0.10), ("bits and mud",): (0.08, 0.14),
    ("services",): (0.08, 0.15), ("site",): (0.04, 0.08), ("trouble",): (0.10, 0.15),
}  # fmt: skip


def one(depth):
    return well_built_up(CASE, np.array([depth]))


@pytest.mark.parametrize("depth", DAYS)
def test_days_lie_in_the_usual_band(depth):
    low, high = DAYS[depth]
    assert low <= one(depth).total_days[0] <= high


@pytest.mark.parametrize("parts", SHARES, ids=" and ".join)
@pytest.mark.parametrize("depth", [1500.0, 2000.0, 3000.0])
def test_shares_lie_in_the_usual_bands(parts, depth):
    low, high = SHARES[parts]
    well = one(depth)
    assert low <= sum(well.parts[name] for name in parts)[0] / well.cost[0] <= high


@pytest.mark.parametrize("depth", [1500.0, 2000.0, 2500.0, 3000.0])
def test_cost_lies_within_the_spread_of_curves(depth):
    ranked = spread(np.array([depth]), 2024, np.zeros(1)).ranked()
    assert ranked[0][1] <= one(depth).cost[0] <= ranked[-1][1]


def test_penetration_is_the_middle_of_its_range(agree):
    agree(float(row("drilling_rates", rate="penetration_rate")["value"]), (3 + 8) / 2, digits=12, what="m/h on bottom")


def test_a_record_is_faster_than_what_is_usual(agree):
    """9,145 ft in 13 days: 215 m a day; ours takes longer from spud to the bottom."""
    depth = 9145 * 0.3048
    agree(depth / 13, 215, within=0.005, what="m/d of the record")
    usual = one(depth).days
    assert (usual["drilling"] + usual["casing"])[0] > 2 * 13
