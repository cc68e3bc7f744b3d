"""A scenario has the same bits alone, among seven, among a thousand."""

from pathlib import Path

import numpy as np
import pytest

from geoecon import evaluate, load_case, size
from geoecon.arrays import chunks
from geoecon.finance.debt import LoanTerms, borrow
from geoecon.finance.measures import rate_of_return
from geoecon.finance.solve import rising_root

CASES = Path(__file__).parents[2] / "cases"
SCENARIOS = 1009
BETWEEN = {
    "finance.debt_share": (0.1, 0.8), "finance.debt_rate": (0.0, 0.12), "finance.discount_rate": (0.02, 0.15),
    "finance.equity_return": (0.05, 0.2), "finance.upfront_fee": (0.0, 0.04), "money.inflation": (0.0, 0.06),
    "market.price": (20.0, 250.0), "market.price_after_term": (0.0, 150.0), "market.price_growth": (-0.02, 0.04),
    "wells.flow_decline": (0.0, 0.09), "wells.success": (0.3, 1.0), "wells.cost_per_producer": (1e6, 6e6),
    "wells.success_first": (0.1, 0.3), "wells.flow_per_producer": (0.03, 0.08), "resource.temperature_decline": (0.0, 1.0),
    "operation.forced_outage": (0.0, 0.3), "operation.fixed_cost": (3e5, 3e6), "operation.royalty": (0.0, 0.1),
    "capital.contingency.plant": (0.0, 0.4), "capital.grant": (0.0, 4e6), "tax.rate": (0.0, 0.4),
    "site.air_temperature_offset": (-3.0, 3.0),
}  # fmt: skip


@pytest.fixture(scope="module")
def draws():
    generator = np.random.Generator(np.random.Philox(key=20261125))
    return {path: generator.uniform(low, high, SCENARIOS) for path, (low, high) in BETWEEN.items()}


@pytest.fixture(scope="module")
def base():
    return load_case(CASES / "ambry-wells.toml").with_values({"finance.discount_rate": 0.08})


@pytest.fixture(scope="module")
def together(base, draws):
    return evaluate(base.with_values(draws))


def differing(part, whole, rows):
    """Names of what is not equal bit by bit between a result of some scenarios and that of all."""
    wrong = [
        name
        for name, metric in whole.metrics.items()
        if not np.array_equal(part.metrics[name].values, metric.values[rows], equal_nan=True)
        or not np.array_equal(part.metrics[name].codes, metric.codes[rows])
    ]
    for group in ("annual", "operating_accounts", "ledger", "ledger_life", "capital_accounts"):
        ours, theirs = getattr(part, group), getattr(whole, group)
        wrong += [name for name in ours if not np.array_equal(ours[name], theirs[name][..., rows], equal_nan=True)]
    return wrong


@pytest.mark.parametrize(("at_a_time", "step"), [(1, 31), (7, 11), (1000, 1)])
def test_chunks_are_bit_equal(base, draws, together, at_a_time, step):
    """All scenarios by the thousand; of the chunks of seven every eleventh, and every thirty-first scenario alone."""
    for start in range(0, SCENARIOS, at_a_time * step):
        rows = slice(start, start + at_a_time)
        part = evaluate(base.with_values({path: values[rows] for path, values in draws.items()}))
        assert differing(part, together, rows) == []


def test_the_draws_reach_every_kind_of_answer(together):
    """What the comparison above is worth: values and reasons, make-up wells and none."""
    for name in ("npv", "irr_equity", "payback", "required_price"):
        assert np.isfinite(together.metrics[name].values).sum() > SCENARIOS / 10
    assert (together.metrics["payback"].codes > 0).any()
    assert len(np.unique(together.metrics["makeup_wells"].values)) > 5
    assert len(np.unique(together.metrics["producers"].values)) > 2


def test_order_of_scenarios_does_not_matter(base, draws, together):
    order = np.random.Generator(np.random.Philox(key=7)).permutation(SCENARIOS)
    shuffled = evaluate(base.with_values({path: values[order] for path, values in draws.items()}))
    assert differing(shuffled, together, order) == []


@pytest.mark.parametrize("at_a_time", [1, 7, 200])
def test_solvers_are_bit_equal(at_a_time):
    generator = np.random.Generator(np.random.Philox(key=11))
    flows = generator.normal(30, 60, (23, 211))
    flows[0] = -generator.uniform(10, 900, 211)
    times = np.arange(23.0).reshape(-1, 1)
    aims, ones = generator.uniform(0.1, 500, 211), np.ones(211)
    rates = rate_of_return(flows, times)
    roots = rising_root(lambda x: x**3 + x - aims, 0 * ones, 9 * ones, ones)
    started = rising_root(lambda x: x**3 + x - aims, 0 * ones, 9 * ones, ones, (3 * ones, 4 * ones))
    assert 0 < (rates[1] == 0).sum() < 211
    for start in range(0, 211, at_a_time):
        rows = slice(start, start + at_a_time)
        some = rate_of_return(flows[:, rows], times)
        assert all(np.array_equal(a, b[rows], equal_nan=True) for a, b in zip(some, rates, strict=True))
        aim, one = aims[rows], ones[rows]
        found = rising_root(lambda x, aim=aim: x**3 + x - aim, 0 * one, 9 * one, one)
        assert all(np.array_equal(a, b[rows], equal_nan=True) for a, b in zip(found, roots, strict=True))
        found = rising_root(lambda x, aim=aim: x**3 + x - aim, 0 * one, 9 * one, one, (3 * one, 4 * one))
        assert all(np.array_equal(a, b[rows], equal_nan=True) for a, b in zip(found, started, strict=True))


def test_loans_are_bit_equal():
    generator = np.random.Generator(np.random.Philox(key=13))
    spending = np.zeros((17, 101))
    spending[:3] = generator.uniform(1, 100, (3, 101))
    share, rate, fee = (
        generator.uniform(0.0, 0.8, 101),
        generator.uniform(0.0, 0.2, 101),
        generator.uniform(0, 0.05, 101),
    )
    loan = borrow(spending, LoanTerms(share, rate, fee, 13, "level", 6), 3, middle=True)
    for one in range(101):
        rows = slice(one, one + 1)
        alone = borrow(spending[:, rows], LoanTerms(share[rows], rate[rows], fee[rows], 13, "level", 6), 3, middle=True)
        for line in ("drawn", "fees", "interest", "principal", "balance", "reserve"):
            assert np.array_equal(getattr(alone, line), getattr(loan, line)[:, rows]), line


def test_many_are_as_a_few_whatever_the_number():
    """Shortcuts of the array library that depend on length must not show: thousands at once, and cut unevenly."""
    case = load_case(CASES / "sorrel-basin.toml")
    prices, design = np.linspace(50.0, 200.0, 4001), size(case)
    together = evaluate(case.with_values({"market.price": prices}), design)
    for part in chunks(4001, 1234):
        some = evaluate(case.with_values({"market.price": prices[part]}), design)
        for key, metric in together.metrics.items():
            assert np.array_equal(metric.values[part], some.metrics[key].values, equal_nan=True), key
