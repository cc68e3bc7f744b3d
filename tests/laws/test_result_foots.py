"""A result can be added up again from its own columns, accounts and steps."""

import numpy as np
from hypothesis import given

from geoecon import evaluate
from geoecon.arrays import over_years
from geoecon.energy import LOSSES
from geoecon.finance.statement import rise
from tests.laws.strategies import cases, read, same


@given(cases())
def test_a_result_is_the_sum_of_its_parts(values):
    result = evaluate(read(values))
    a = result.annual
    size = np.abs(a["cash_flow_project"]).max()
    project = a["revenue"] + a["grant"] - a["operating_cost"] - a["capital"] - a["decommissioning"] - a["tax_unlevered"]
    equity = (
        a["revenue"] + a["grant"] + a["debt_drawn"] - a["operating_cost"] - a["capital"] - a["decommissioning"]
        - a["fees"] - a["interest"] - a["principal"] - a["tax"] - rise(a["reserve_balance"])
    )  # fmt: skip
    assert same(a["cash_flow_project"], project, size=size)
    assert same(a["cash_flow_equity"], equity, size=size)

    for ledger, metric in ((result.ledger, "first_year_energy"), (result.ledger_life, "lifetime_energy")):
        assert same(ledger["gross_at_design"] - sum(ledger[name] for name in LOSSES), ledger["delivered"])
        assert ledger["delivered"][0] == result.value(metric)
    assert same(a["delivered_energy"].sum(), result.value("lifetime_energy"))
    assert (a["delivered_energy"] <= a["gross_energy"] * (1 + 1e-9)).all()
    net = result.value("net_capacity") * 8760
    assert same(result.value("net_capacity_factor"), result.ledger["unit_net"] / net)

    assert same(a["operating_cost"], sum(result.operating_accounts.values()))
    assert same(result.value("capital_cost"), sum(result.capital_accounts.values()))
    first, accounts = result.build_years, result.operating_accounts.items()
    running = sum(flows[first, 0] for name, flows in accounts if name != "royalty")
    assert same(result.value("first_year_operating_cost") * result.index[first, 0], running)
    if "market.capacity_price" not in values:
        assert same(a["revenue"], a["price"] * a["delivered_energy"])

    building = a["year"][:, 0] <= 0
    uses = (a["capital"] + a["interest"] + a["fees"] + rise(a["reserve_balance"]))[building]
    sources = (a["debt_drawn"] + a["grant"] - a["cash_flow_equity"])[building]
    assert same(sources, uses, size=size)
    assert same(-over_years(a["cash_flow_equity"][building]), result.value("equity"), size=size)
    assert same(over_years(a["debt_drawn"]), result.value("debt"))
    assert same(over_years(a["principal"]), result.value("debt"))
    assert same(over_years(a["interest"][building]), result.value("interest_during_construction"))
    assert a["debt_balance"][-1, 0] == 0
    assert a["reserve_balance"][-1, 0] == 0
    if "tax.rate" in values and "tax.credit" not in values and "capital.grant" not in values:
        paid = np.where(building, a["interest"][:, 0] + a["fees"][:, 0], 0.0)
        assert same(a["depreciation"].sum(), a["capital"].sum() + paid.sum())
