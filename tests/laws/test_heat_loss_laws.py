"""Heat lost on the way: never less from more length or less flow, never below nothing, and never more with more insulation."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from geoecon.wells.heat_loss import bore_drop, pipe_conductance, pipe_drop, time_function

MORE = st.sampled_from([1.001, 1.1, 3.0])


@given(
    st.integers(1, 150), st.integers(100, 4000), st.integers(20, 250), st.sampled_from([1.5, 2.5, 4.0]),
    st.integers(2, 6).map(lambda power: 10.0**power), MORE,
)  # fmt: skip
def test_a_bore_loses_what_it_should(flow, length, ground, conductivity, time, more):
    def drop(flow=flow, length=length, ground=ground, conductivity=conductivity, time=time):
        return float(bore_drop(flow, 4300.0, length, ground, conductivity, time_function(time)))

    assert 0 < drop() < ground
    assert drop(flow=flow * more) < drop() < drop(length=length * more)
    assert drop(ground=ground * more) > drop()
    assert drop(conductivity=conductivity * more) > drop() > drop(time=time * more)


@given(
    st.integers(5, 40), st.integers(0, 30), st.sampled_from([0.025, 0.045, 0.1]), st.sampled_from([5.0, 10.0, 25.0]),
    st.integers(1, 20),
)  # fmt: skip
def test_more_insulation_never_loses_more_beyond_the_critical_radius(radius_cm, thick_cm, conductivity, film, more_cm):
    """Below it, conductivity over film, a larger face outweighs the insulation; pipes of wells are all beyond it."""
    inner, outer = radius_cm / 100, (radius_cm + thick_cm) / 100
    assert conductivity / film < inner
    now = pipe_conductance((inner, outer), (conductivity,), np.inf, film)
    thicker = pipe_conductance((inner, outer + more_cm / 100), (conductivity,), np.inf, film)
    better = pipe_conductance((inner, outer), (conductivity * 0.8,), np.inf, film)
    assert thicker < now
    assert better <= now


def test_below_the_critical_radius_a_little_insulation_loses_more():
    thin = 0.002
    bare = pipe_conductance((thin, thin), (0.1,), np.inf, 10.0)
    assert pipe_conductance((thin, 0.005), (0.1,), np.inf, 10.0) > bare


@given(st.integers(1, 200), st.integers(1, 40000), st.sampled_from([0.2, 1.0, 8.0]), st.integers(1, 150), MORE)
def test_a_line_cools_towards_the_air_and_not_beyond(above, length, conductance, flow, more):
    drop = pipe_drop(above, conductance, length, flow, 4300.0)
    assert 0 < drop <= above
    assert pipe_drop(above, conductance, length * more, flow, 4300.0) >= drop
    assert pipe_drop(above, conductance, length, flow * more, 4300.0) <= drop
