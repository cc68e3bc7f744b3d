"""A late start never helps: a year more late is at least as bad, and what is lost in the ledger is what is not delivered."""

import numpy as np
from hypothesis import given

from geoecon import evaluate
from tests.laws.strategies import cases, read, same
from tests.laws.test_more_is_never_better import price

DELAYS = np.array([0.0, 0.02, 0.5, 0.9, 1.0, 1.7, 3.0])


@given(cases())
def test_later_never_helps(values):
    if "wells.makeup_threshold" in values:
        values["wells.makeup_threshold"] = '"0 %"'
    result = evaluate(read(values).with_values({"timeline.delay": DELAYS}))
    size = result.metrics["capital_cost"].values[0]
    assert (np.diff(result.metrics["lifetime_energy"].values) <= 0).all()
    assert (np.diff(result.metrics["npv"].values) <= 1e-9 * size).all()
    required = price(result.metrics["required_price"])
    assert (required[1:] >= required[:-1] * (1 - 1e-9)).all()


@given(cases())
def test_a_year_late_has_no_energy_in_year_1_and_the_same_after(values):
    result = evaluate(read(values).with_values({"timeline.delay": np.array([0.0, 1.0])}))
    energy = result.annual["delivered_energy"][result.build_years :]
    assert abs(energy[0, 1]) <= 1e-12 * energy[0, 0]
    assert np.array_equal(energy[1:, 1], energy[1:, 0])


@given(cases())
def test_what_is_missed_is_booked_as_forced_outage(values):
    result = evaluate(read(values).with_values({"timeline.delay": DELAYS}))
    for steps in (result.ledger, result.ledger_life):
        for name in ("gross_at_design", "weather", "output_limit", "plant_auxiliaries", "planned_outage"):
            assert (steps[name] == steps[name][0]).all(), name
        lost = steps["forced_outage"] - steps["forced_outage"][0]
        assert same(steps["unit_net"], steps["unit_net"][0] - lost, size=steps["gross_at_design"][0])
    first = result.annual["delivered_energy"][result.build_years]
    assert same(result.monthly_energy.sum(axis=0), first, size=first[0])
