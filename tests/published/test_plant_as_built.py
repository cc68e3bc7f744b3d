"""A plant as built away from its design point, against an independent library and what air-cooled plants are known to lose.

Sources
- Every state that the plant settles at is put back into the textbook forms of its parts (logarithmic mean difference of each
  exchanger, ellipse of Stodola, rise of the air) with CoolProp's own properties: what is solved by effectiveness on tables
  must show the same hardware at every brine and air. Stodola's ellipse is from memory.
- NREL/TP-5500-58024 (2013), abstract, seen: an air-cooled binary plant can lose up to 50 % of its capacity in the hottest
  hours.
- Wendt and Mines (INL, 2011), seen: the design air is normally the annual mean; so the hottest hours are some 25 K above it.
- Loss by kelvin of warmer air: computed here before with an independent program, 3.7 % at 100 degC of brine to 1.7 % at
  180 degC; a plant as built loses similarly.
"""

import numpy as np
import pytest
from CoolProp import CoolProp

from geoecon.plant.binary import CycleTerms, cycles
from geoecon.plant.built import Fluid, Keeping, bought
from geoecon.plant.in_service import Plant, in_service
from geoecon.plant.properties import fine_table, fluid_table
from geoecon.resource.water import KELVIN

TERMS = CycleTerms(0.82, 0.72, 0.95, 5.0, 18.0, 0.011, 0.015, floor_degC=40.0)
LIBRARY = {"isopentane": "Isopentane", "isobutane": "IsoButane", "R245fa": "R245fa"}


def built(fluid, brine, air):
    best = cycles(fine_table(fluid), TERMS, np.array([brine]), air)
    rows = Fluid(fluid_table(fluid), float(best.superheat[0]))
    return Plant(rows, TERMS, bought(rows, TERMS, best, brine, air), Keeping())


def shown(plant, fluid, brine, air, state):
    """Constants of the hardware as CoolProp's properties show them in a state, one each."""

    def of(what, *where):
        return CoolProp.PropsSI(what, *where, LIBRARY[fluid])

    hot, cold = state.evaporating + KELVIN, state.condensing + KELVIN
    p, p_cold = of("P", "T", hot, "Q", 1), of("P", "T", cold, "Q", 0)
    superheat = plant.fluid.superheat
    inlet = ("T", hot + superheat, "P", p) if superheat else ("T", hot, "Q", 1)
    top, density = of("H", *inlet) / 1e3, of("D", *inlet)
    drop = top - of("H", "S", of("S", *inlet), "P", p_cold) / 1e3
    ratio = np.sqrt(plant.hardware.drop / drop)
    work = TERMS.turbine_efficiency * ratio * (2 - ratio) * drop
    liquid = of("H", "T", cold, "Q", 0) / 1e3
    pumped = liquid + (p - p_cold) / of("D", "T", cold, "Q", 0) / 1e3 / TERMS.pump_efficiency

    def water(t):
        return CoolProp.PropsSI("H", "T", t + KELVIN, "Q", 0, "Water") / 1e3

    return {
        "turbine": state.flow / np.sqrt(p * density * (1 - (p_cold / p) ** 2)),
        "work": state.turbine / (state.flow * work),
        "condenser": state.flow * (top - work - liquid) / (state.condensing - air) * (air + KELVIN) ** 0.5,
        "injection": (water(brine) - state.flow * (top - pumped)) / water(state.injection),
    }


def one(plant, brine, air):
    state = in_service(plant, np.array([brine]), np.array([air]))
    return type(state)(*(float(getattr(state, name)[0]) for name in state.__dataclass_fields__))


CASES = [("isopentane", 156.0, 10.0), ("R245fa", 110.0, 8.0), ("isobutane", 150.0, 12.0)]


@pytest.mark.parametrize(("fluid", "brine", "air"), CASES)
@pytest.mark.parametrize(("cooler", "warmer"), [(-6.0, 0.0), (0.0, 14.0), (0.0, -14.0), (12.0, 8.0), (15.0, -10.0)])
def test_the_library_sees_the_same_hardware(agree, fluid, brine, air, cooler, warmer):
    plant = built(fluid, brine, air)
    at_design = shown(plant, fluid, brine, air, one(plant, brine, air))
    now = shown(plant, fluid, brine - cooler, air + warmer, one(plant, brine - cooler, air + warmer))
    agree(now["turbine"], at_design["turbine"], within=0.003, what=f"{fluid}: what the turbine swallows")
    agree(now["work"], 1.0, within=0.003, what=f"{fluid}: work by drop and velocity ratio")
    agree(now["injection"], 1.0, within=0.002, what=f"{fluid}: brine that leaves")
    agree(now["condenser"], at_design["condenser"], within=0.02, what=f"{fluid}: condenser")


@pytest.mark.parametrize(("fluid", "brine", "air"), CASES)
@pytest.mark.parametrize(("cooler", "warmer"), [(0.0, 14.0), (12.0, 8.0), (15.0, -10.0)])
def test_exchangers_keep_their_size_by_the_logarithmic_mean(agree, fluid, brine, air, cooler, warmer):
    """Area times coefficient of evaporator and preheater together, each with the mean of its own ends."""

    def sizes(brine, air):
        state = one(plant, brine, air)
        hardware = plant.hardware
        at_boiling = state.evaporating + (brine - state.evaporating) * np.exp(-hardware.evaporator)
        water = [CoolProp.PropsSI("H", "T", t + KELVIN, "Q", 0, "Water") / 1e3 for t in (brine, at_boiling)]
        mean = (brine - at_boiling) / np.log((brine - state.evaporating) / (at_boiling - state.evaporating))
        return (water[0] - water[1]) / mean, (state.heat_in - water[0] + water[1]) / (at_boiling - state.injection)

    plant = built(fluid, brine, air)
    (evaporator, capacity), (now, now_capacity) = sizes(brine, air), sizes(brine - cooler, air + warmer)
    agree(now, evaporator, within=0.02, what=f"{fluid}: evaporator")
    agree(now_capacity, capacity, within=0.02, what=f"{fluid}: heat held by brine in the preheater")


def loss(fluid, brine, design_air, air):
    plant = built(fluid, brine, design_air)
    return 1 - one(plant, brine, air).net / one(plant, brine, design_air).net


@pytest.mark.parametrize(("fluid", "brine"), [("isopentane", 150.0), ("isobutane", 150.0), ("n-pentane", 160.0)])
def test_the_hottest_hours_cost_up_to_half(fluid, brine):
    """NREL: up to 50 %; 25 K above an annual mean of 12 degC. Not far above it, and of its size."""
    assert 0.35 < loss(fluid, brine, 12.0, 37.0) < 0.60


def test_loss_by_kelvin_falls_with_hotter_brine():
    """Of the size of 3.7 to 1.7 % a kelvin, computed before for cycles that are re-optimised."""
    each = [loss("isobutane", brine, 17.0, 22.0) / 5 for brine in (100.0, 120.0, 140.0, 160.0)]
    assert each == sorted(each, reverse=True)
    assert 0.015 < each[-1] < each[0] < 0.05
