"""More cost, outage, decline or loss never helps: the required price never falls and the value never rises."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from geoecon import evaluate
from geoecon.case.fields import Stated
from geoecon.finance.reasons import Reason
from tests.laws.strategies import cases, read

SCALED = (
    "plant.cost_per_kw", "operation.fixed_cost", "operation.insurance", "operation.land", "capital.permits",
    "capital.grid_connection", "capital.owners_cost", "capital.decommissioning", "wells.cost_per_producer",
    "wells.cost_per_injector", "operation.wellfield_cost", "operation.pump_cost",
)  # fmt: skip
ADDED = {
    "operation.planned_outage": 0.03, "operation.forced_outage": 0.04, "operation.royalty": 0.02, "site.line_loss": 0.03,
    "resource.temperature_decline": 0.4, "wells.flow_decline": 0.03, "operation.variable_cost": 1.0,
    "operation.real_growth": 0.01, "capital.contingency.all": 0.07, "capital.contingency.wells": 0.11,
    "finance.upfront_fee": 0.02, "finance.debt_rate": 0.01,
}  # fmt: skip
ENERGY = ("operation.planned_outage", "operation.forced_outage", "site.line_loss", "resource.temperature_decline",
          "wells.flow_decline")  # fmt: skip


def now(case, path):
    """The value of a field as one number, None where the case has none."""
    table, leaf, *inner = path.split(".")
    value = getattr(getattr(case, table), leaf)
    if inner:
        value = value[inner[0]]
    value = value.values if isinstance(value, Stated) else value
    return None if value is None else float(value[0])


def worse(case, values, much):
    """The case with a scenario as it is and one more for every path, worse there and nowhere else."""
    stated = [path for path in (*SCALED, *ADDED) if ".".join(path.split(".")[:2]) in values]
    columns = {}
    for at, path in enumerate(stated, start=1):
        columns[path] = np.full(len(stated) + 1, now(case, path))
        columns[path][at] = columns[path][0] * (1 + much) if path in SCALED else columns[path][0] + much * ADDED[path]
    return ["nothing", *stated], case.with_values(columns)


def price(metric):
    """Prices with the reason for a missing one in its place in the order: any price pays, none in reach."""
    extremes = {Reason.ANY_PRICE_PAYS: -np.inf, Reason.NO_PRICE_IN_REACH: np.inf}
    return np.array([extremes.get(code, value) for value, code in zip(metric.values, metric.codes, strict=True)])


@given(cases(), st.sampled_from([0.01, 0.3, 1.0]))
def test_nothing_worse_helps(values, much):
    if "wells.makeup_threshold" in values:  # wells stay as they are
        values["wells.makeup_threshold"] = '"0 %"'
    names, case = worse(read(values), values, much)
    result = evaluate(case)
    required, cost = price(result.metrics["required_price"]), result.metrics["lcoe_nominal"].values
    value, size = result.metrics["npv"].values, result.metrics["capital_cost"].values[0]
    for at, name in enumerate(names):
        assert required[at] >= required[0] * (1 - 1e-9), name
        assert cost[at] >= cost[0] * (1 - 1e-12), name
        assert value[at] <= value[0] + 1e-9 * size, name
        if name in ENERGY:
            energy = result.metrics["lifetime_energy"].values
            assert energy[at] <= energy[0] * (1 + 1e-12), name


@given(cases(debt=True, tax=False, credit=False, owner="public"), st.sampled_from([0.01, 0.3, 1.0]))
def test_nothing_worse_helps_a_public_owner(values, much):
    if "wells.makeup_threshold" in values:
        values["wells.makeup_threshold"] = '"0 %"'
    names, case = worse(read(values), values, much)
    required = price(evaluate(case).metrics["required_price"])
    for at, name in enumerate(names):
        assert required[at] >= required[0] * (1 - 1e-9), name


@given(cases(debt=True))
def test_a_higher_price_never_harms(values):
    """Cover is left out where tax is paid: a higher price uses up losses sooner, and a later year pays more tax."""
    prices = np.array([20.0, 50.0, 90.0, 91.0, 180.0, 181.0, 400.0])
    result = evaluate(read(values).with_values({"market.price": prices}))
    covers = () if "tax.rate" in values else ("dscr_min", "dscr_mean", "llcr")
    for metric in ("npv", "npv_equity", *covers):
        found = result.metrics[metric].values
        assert not (np.diff(found) < -1e-9 * np.abs(found[1:])).any(), metric
