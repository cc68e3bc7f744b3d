"""The energy ledger: its steps sum to what is delivered, in every year and every scenario."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from geoecon import size
from geoecon.energy import LOSSES, STEPS
from geoecon.engine import make_energy, plan_years
from geoecon.preparing.basics import calendar
from tests.laws.strategies import cases, read, same

HOURS = 8760


@st.composite
def with_customers(draw):
    """Cases of every kind of customer: a grid that takes all, or a load that does not."""
    values = draw(cases())
    if draw(st.booleans()):
        values |= {"community.islanded": "true", "community.local_load": f'"{draw(st.integers(1, 60))} GWh/yr"',
                   "community.standby_share": '"10 %"'}  # fmt: skip
    return values


def ledger_of(case):
    design = size(case)
    return make_energy(case, design, plan_years(case, design, calendar(case)))


@given(with_customers())
def test_steps_sum_to_delivered_in_every_year(values):
    case = read(values).with_values({"operation.forced_outage": np.array([0.0, 0.03, 0.9])})
    steps = ledger_of(case).steps
    assert tuple(steps) == STEPS
    before = steps["gross_at_design"] - sum(steps[name] for name in LOSSES[:8])
    assert same(before, steps["unit_net"], size=steps["gross_at_design"].max())
    assert same(steps["unit_net"] - steps["curtailment"] - steps["line_loss"], steps["delivered"])
    assert same(steps["gross_at_design"], size(case).plant.gross_kw * HOURS / 1000 + 0 * steps["delivered"])
    for name in set(STEPS) - {"weather"}:  # only the weather may give
        assert (steps[name] >= -1e-9 * steps["gross_at_design"]).all(), name


@given(with_customers())
def test_no_limit_is_passed(values):
    case = read(values)
    ledger = ledger_of(case)
    most = case.plant.net_capacity * case.plant.output_limit
    if case.site.export_limit is not None:
        most = np.minimum(most, case.site.export_limit)
    available = (1 - case.operation.planned_outage) * (1 - case.operation.forced_outage)
    if case.operation.planned_outage_month is None:
        assert (ledger.steps["unit_net"] <= most * available * HOURS / 1000 * (1 + 1e-9)).all()
    if case.community.islanded:
        wanted = np.array(case.community.local_load).reshape(-1, 1) * 0.9
        assert (ledger.monthly <= wanted * (1 + 1e-9)).all()
    else:
        assert (ledger.steps["curtailment"] == 0).all()
    assert same(ledger.monthly.sum(axis=0), ledger.steps["delivered"][0])
