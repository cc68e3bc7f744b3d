"""Layouts of binary plants against a published table of a second pressure level, and the second law.

Sources
- R. DiPippo, Geothermal Power Plants, table 8.5 (p. 166): one and two boiling pressures, condensing and dead state at 38 degC
  (100 degF); printed values seen in a copy. Turbine 0.85, pump 0.80 and a pinch of 10 K are our assumption, the page names
  none. The page says that dual pressure lifts utilization by 6 to 24 % and lowers thermal efficiency in every row.
- Computed here: those figures follow where the upper level boils as the basic cycle does at its best, and the lower one is
  searched. With both levels searched the plant makes a little more, and its thermal efficiency is that of the basic cycle.
  That is what theory says of ideal engines: with N levels that are best, each boils at the same ratio of kelvins to the
  next, and the efficiency of the whole is 1 - (cold / hot)^(1 / (N + 1)) weighted, nearly the same for one and two.
- Second law: no source; exergy of brine by the entropy of a reference library.

Not used: a supercritical recuperated plant with a published mean of 80.6 kW per kg/s of brine at 220 degC cooled to 80
degC, and a bottoming plant of 46 kW per kg/s: their abstracts name neither fluid nor parts nor climate, and those move the
answer by more than a third.
"""

from dataclasses import replace

import numpy as np
import pytest

from geoecon.plant.binary import CycleTerms
from geoecon.plant.layouts import LAYOUTS
from tests.published.brine import celsius, exergy

NEARLY_AIR = 1e-6
PARTS = CycleTerms(0.85, 0.80, 1.0, 10.0, NEARLY_AIR, 0.0, 0.0, floor_degC=0.1)
TABLE = [  # fluid, brine degF, thermal basic and dual, utilization basic and dual, %
    ("isobutane", 200, 5.5, 4.6, 31.9, 39.7),
    ("isopentane", 200, 5.2, 4.2, 30.5, 37.0),
    ("isobutane", 300, 10.3, 9.8, 48.8, 56.9),
]


def best(fluid, layout, brine, dead, **changes):
    terms = replace(PARTS, layout=layout, **changes)
    return LAYOUTS[layout](fluid, terms)(np.array([brine]), dead - NEARLY_AIR)


@pytest.mark.parametrize(("fluid", "fahrenheit", "thermal", "dual_thermal", "utilization", "dual_utilization"), TABLE)
def test_a_second_level(agree, fluid, fahrenheit, thermal, dual_thermal, utilization, dual_utilization):
    brine, dead = celsius(fahrenheit), celsius(100.0)
    most, where = exergy(brine, dead), f"{fluid} {fahrenheit} degF, two levels"
    one = best(fluid, "basic", brine, dead)
    two = best(fluid, "dual-pressure", brine, dead, evaporating_degC=float(one.evaporating[0]))
    agree(100 * two.net[0] / most, dual_utilization, within=2.2 / dual_utilization, what=f"{where}, utilization, %")
    agree(
        100 * two.net[0] / two.heat_in[0],
        dual_thermal,
        within=0.7 / dual_thermal,
        what=f"{where}, thermal efficiency, %",
    )
    gain = two.net[0] / one.net[0] - 1
    assert 0.06 < gain < 0.24, "printed: 6 to 24 % more"
    assert two.net[0] / two.heat_in[0] < one.net[0] / one.heat_in[0], "printed: lower in every row"
    both = best(fluid, "dual-pressure", brine, dead)
    assert two.net[0] < both.net[0] < 1.06 * two.net[0]
    assert both.net[0] / both.heat_in[0] == pytest.approx(one.net[0] / one.heat_in[0], rel=0.03)


BRINE, AIR = np.arange(90.0, 241.0, 10.0), (-10.0, 15.0, 35.0)
DREAM = CycleTerms(0.95, 0.95, 1.0, 1.0, 3.0, 0.0, 0.0, floor_degC=20.0)


@pytest.mark.parametrize("layout", [name for name in LAYOUTS if name != "basic"])
@pytest.mark.parametrize("fluid", ["isobutane", "isopentane", "R134a", "R1233zd(E)"])
def test_no_layout_passes_the_exergy_of_its_brine(fluid, layout):
    cycle = LAYOUTS[layout](
        fluid, replace(DREAM, layout=layout, recuperator_K=2.0 if layout != "dual-pressure" else None)
    )
    for air in AIR:
        made = cycle(BRINE, air)
        given = exergy(BRINE, air) - exergy(np.maximum(made.injection, air), air)
        on = made.net > 0
        assert on.any()
        assert (made.net[on] < 0.97 * given[on]).all(), (made.net[on] / given[on]).max()


def test_which_fluid_is_the_better_one():
    """Printed for 200 degF: isobutane 31.9 % and isopentane 30.5 % with one level, 39.7 and 37.0 with two."""
    brine, dead = celsius(200.0), celsius(100.0)
    for layout in ("basic", "dual-pressure"):
        assert best("isobutane", layout, brine, dead).net[0] > best("isopentane", layout, brine, dead).net[0]
