"""Wells and pumps: what helps a well to flow never hurts, and a balance holds at every flow that is found."""

from dataclasses import replace

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from geoecon.preparing.field import own_flow
from geoecon.resource.water import saturation_pressure
from geoecon.wells.pumping import Pumping


def each(value):
    return np.array([float(value)])


@st.composite
def flowing(draw):
    """A well of hot water that is not pumped and whose pressure when shut is above the one kept at the wellhead."""
    hot = float(draw(st.integers(100, 240)))
    kept = float(saturation_pressure(hot)) + draw(st.sampled_from([0.5, 1.5, 4.0]))
    well = Pumping(
        productivity=each(draw(st.integers(1, 40))), injectivity=each(8), static_m=each(0),
        depth_m=each(draw(st.integers(500, 3500))), bore_m=each(draw(st.integers(15, 35)) / 100), temperature=each(hot),
        wellhead_bar=each(kept), air_bar=each(1), plant_drop_bar=each(3), efficiency=each(0.65), margin_bar=each(1),
        pumped=False,
    )  # fmt: skip
    return replace(well, static_m=-(kept + draw(st.integers(1, 30)) - 1) / well.column_bar_per_m)


@given(flowing())
def test_what_is_found_balances(well):
    flow = own_flow(well)
    assert flow[0] > 0
    assert abs(well.missing_bar(flow)[0]) < 1e-9 * well.wellhead_bar[0]
    assert well.production_kw(flow)[0] == 0


@given(flowing(), st.sampled_from([1.01, 1.3, 3.0]))
def test_what_helps_a_well_to_flow_never_hurts(well, more):
    flow = own_flow(well)[0]
    assert own_flow(replace(well, productivity=well.productivity * more))[0] > flow
    assert own_flow(replace(well, bore_m=well.bore_m * more))[0] > flow
    assert own_flow(replace(well, static_m=well.static_m * more))[0] > flow
    assert own_flow(replace(well, wellhead_bar=well.wellhead_bar + (more - 1) * 0.3))[0] < flow


@given(flowing(), st.integers(1, 120), st.sampled_from([1.01, 1.3, 3.0]))
def test_a_pump_hangs_deeper_for_more_and_an_injector_takes_more_pressure(well, flow, more):
    pumped, flow = replace(well, pumped=True), each(flow)
    assert pumped.setting_m(flow * more)[0] > pumped.setting_m(flow)[0]
    assert pumped.setting_m(flow)[0] < replace(pumped, margin_bar=pumped.margin_bar + more).setting_m(flow)[0]
    cold, warm = each(60), each(90)
    assert pumped.injection_bar(flow * more, cold)[0] > pumped.injection_bar(flow, cold)[0]
    assert pumped.injection_bar(flow, warm)[0] > pumped.injection_bar(flow, cold)[0]
