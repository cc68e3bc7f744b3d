"""Prices by hand: steps, files, what follows a term, floor and cap, time of delivery, energy that was promised."""

import numpy as np
import pytest
from click.testing import CliRunner

from geoecon import evaluate
from geoecon.case import Case, load_case
from geoecon.cli import app
from geoecon.energy import MONTH_HOURS
from geoecon.errors import CaseError
from geoecon.finance.discounting import present_value
from geoecon.report.explain import explain
from geoecon.report.price_readings import annuity, price_readings

MWH = 8760.0  # 1 MW all the year
PLAIN = """
[project]
name = "Prices"
[money]
currency = "USD"
price_year = 2028
inflation = "2 %/yr"
[timeline]
first_year = 2030
operating_years = 6
[plant]
kind = "stated"
net_capacity = "1 MW"
cost_per_kw = "2500 USD/kW"
cost_basis = "net"
[operation]
fixed_cost = "50 USD/kW/yr"
[market]
[finance]
discount_rate = "8 %/yr"
equity_return = "8 %/yr"
"""
STEPS = {"market.price_form": "stepped", "market.price_steps": '{ 1 = "80 USD/MWh", 4 = "100 USD/MWh" }'}
REAL = {"market.price_basis": "real"}
AFTER = {"market.term_years": "3", "market.price_after_term": "50 USD/MWh"}
GROWING = {"market.price": "100 USD/MWh", "market.price_growth": "10 %/yr"}
FACTORS = [1.0] * 5 + [1.5, 0.5] + [1.0] * 5  # June has 720 h and July 744: 0.9986 on average
HEADING = "year,price [per MWh],currency\n"


def case_of(**told):
    return Case.read(PLAIN, told={path.replace("__", "."): value for path, value in told.items()})


def prices(told):
    return yearly(evaluate(Case.read(PLAIN, told=told)))


def yearly(result, column="price"):
    return result.annual[column][result.build_years :, 0]


def beside(folder, name, text, told):
    """The plain case in a folder, with a file beside it."""
    (folder / "case.toml").write_text(PLAIN, encoding="utf-8")
    (folder / name).write_text(text, encoding="utf-8")
    return load_case(folder / "case.toml", told)


def from_file(folder, text, **told):
    asked = {"market.price_form": "file", "market.price_file": "prices.csv"}
    return beside(folder, "prices.csv", text, asked | {f"market.{name}": value for name, value in told.items()})


def rows(years, price=80, code="USD"):
    return HEADING + "".join(f"{year},{price},{code}\n" for year in years)


def test_steps():
    assert prices(STEPS) == pytest.approx([80] * 3 + [100] * 3)
    assert prices(STEPS | {"market.term_years": "4", "market.price_after_term": "50 USD/MWh"}) == pytest.approx(
        [80, 80, 80, 100, 50, 50]
    )
    assert prices(STEPS | REAL) == pytest.approx([p * 1.02 ** (t + 2) for t, p in enumerate([80] * 3 + [100] * 3)])


def test_the_price_after_a_term_grows_like_the_price_or_as_it_is_told():
    told = GROWING | AFTER
    assert prices(told) == pytest.approx([100, 110, 121, 50, 55, 60.5])
    assert prices(told | {"market.tail_growth": "2 %/yr"}) == pytest.approx([100, 110, 121, 50, 51, 52.02])
    assert prices(told | {"market.tail_growth": "-4 %/yr"})[3:] == pytest.approx([50, 48, 46.08])
    listed = {"market.price_form": "schedule", "market.price_schedule": '["80 USD/MWh", "90 USD/MWh"]',
              "market.price_after_term": "50 USD/MWh"}  # fmt: skip
    assert prices(listed) == pytest.approx([80, 90, 50, 50, 50, 50])
    assert prices(listed | {"market.tail_growth": "2 %/yr"})[2:] == pytest.approx(50 * 1.02 ** np.arange(4))
    assert prices(listed | REAL)[:3] == pytest.approx([80 * 1.02**2, 90 * 1.02**3, 50 * 1.02**4])


@pytest.mark.parametrize("start", [1, 2030])
def test_prices_in_a_file(tmp_path, start):
    text = HEADING + "".join(f"{start + n},{80 + n},USD\n" for n in range(6))
    assert yearly(evaluate(from_file(tmp_path, text))) == pytest.approx(80 + np.arange(6))


def test_a_file_may_begin_before_and_go_on_after(tmp_path):
    text = HEADING + "".join(f"{year},{year - 1950},USD\n" for year in range(2025, 2060))
    assert yearly(evaluate(from_file(tmp_path, text))) == pytest.approx(80 + np.arange(6))


def test_years_of_a_file_after_the_term_are_the_market(tmp_path):
    """The price asked for scales the contract and not the market's prices."""
    text = HEADING + "".join(f"{n},{80 + n},USD\n" for n in range(1, 7))
    case = from_file(tmp_path, text, term_years="3")
    found = evaluate(case)
    assert yearly(found) == pytest.approx(81 + np.arange(6))
    path = found.found_prices["required_price"].path
    assert path.nominal[1:, 0] == pytest.approx([*path.first[0] * np.array([1, 82 / 81, 83 / 81]), 84, 85, 86])
    short = from_file(tmp_path, rows([1, 2, 3, 4]), term_years="2", price_after_term="50 USD/MWh")
    assert yearly(evaluate(short)) == pytest.approx([80] * 4 + [50] * 2)
    real = from_file(tmp_path, rows([1, 2, 3, 4], 0), price_after_term="50 USD/MWh", price_basis="real")
    assert yearly(evaluate(real)) == pytest.approx([0] * 4 + [50 * 1.02**n for n in (6, 7)])


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "the first line must be: year, price"),
        ("year,price\n1,80\n", "the first line must be"),
        (HEADING, "holds no price"),
        (rows([1, 2, 4]), "line 4: year 4 follows 2; write every year once"),
        (rows([1, 2, 2]), "line 4: year 2 stands twice"),
        (rows([2]), "begins in operating year 2, after operating year 1"),
        (rows([2031]), "begins in calendar year 2031, after operating year 1 (2030)"),
        (rows([2020, 2021]), "ends in 2021, before operating year 1 (2030)"),
        (rows([1, 2], code="EUR"), "line 2: 'EUR' is not the case's currency, USD"),
        (HEADING + "1,80 USD,USD\n", "line 2: '80 USD' is not a price; write a number without a unit"),
        (HEADING + "1,nan,USD\n", "line 2: 'nan' is not a price"),
        (HEADING + "1,-3,USD\n", "line 2: -3 is not a price; write 0 to 1e+09"),
        (HEADING + "1.5,80,USD\n", "line 2: '1.5' is not a year; write a whole number"),
        (HEADING + "1,80\n", "line 2: '1, 80' has 2 cells, not 3"),
        (rows([1, 2, 3]), "ends after 3 of 6 operating years; add years, or state market.price_after_term"),
        (HEADING + "x" * 1_000_001, "holds 1,000,031 bytes; a table has at most 1,000,000"),
    ],
)
def test_a_file_of_prices_that_cannot_be_read(tmp_path, text, words):
    case = from_file(tmp_path, text)
    with pytest.raises(CaseError) as fault:
        evaluate(case)
    assert words in str(fault.value)
    assert fault.value.faults[0].path == "market.price_file"
    asked = ["--set", "market.price_form=file", "--set", "market.price_file=prices.csv"]
    done = CliRunner().invoke(app, ["check", str(tmp_path / "case.toml"), *asked])
    assert words in f"{done.exception} {done.output}"
    assert done.exit_code != 0


def test_a_file_that_is_not_there(tmp_path):
    case = from_file(tmp_path, rows([1]))
    (tmp_path / "prices.csv").unlink()
    with pytest.raises(CaseError, match=r"prices\.csv: No such file"):
        evaluate(case)


@pytest.mark.parametrize(
    ("told", "words"),
    [
        ({"market.price_form": "stepped"}, "market.price_steps: is missing"),
        ({"market.price_form": "file"}, "market.price_file: is missing"),
        ({"market.price_steps": STEPS["market.price_steps"]}, 'say price_form = "stepped" or leave it out'),
        (STEPS | {"market.price": "90 USD/MWh"}, "stands beside price_steps"),
        (STEPS | {"market.price_steps": '{ 2 = "80 USD/MWh" }'}, "begins in operating year 2"),
        (
            STEPS | {"market.price_steps": '{ 1 = "80 USD/MWh", 7 = "90 USD/MWh" }'},
            "has a step in year 7, after the 6 years",
        ),
        (STEPS | {"market.price_steps": '{ 1 = "80 USD/MWh", x = "90 USD/MWh" }'}, "'x' is not an operating year"),
        (STEPS | {"market.price_steps": "{ 1 = 80 }"}, "80 has no unit"),
        (STEPS | {"market.price_steps": '["80 USD/MWh"]'}, "takes a table from operating year to value"),
        (GROWING | {"market.tail_growth": "1 %/yr"}, "is not used without price_after_term"),
        (GROWING | {"market.price_floor": "90 USD/MWh", "market.price_cap": "80 USD/MWh"}, "is above price_cap"),
        (GROWING | {"market.guaranteed_energy": "9 GWh/yr"}, "asks what a MWh that is short costs"),
        (GROWING | {"market.shortfall_penalty": "9 USD/MWh"}, "asks how much energy is promised"),
        (GROWING | {"market.delivery_factors": "[1.0]"}, "list of 12 values"),
        (GROWING | {"market.delivery_factors": str(["1"] * 12)}, "takes one number"),
        (GROWING | {"market.delivery_factors": str(FACTORS), "market.delivery_file": "f.csv"}, "keep one of the two"),
    ],
)
def test_what_does_not_go_together(told, words):
    with pytest.raises(CaseError) as fault:
        Case.read(PLAIN, told=told)
    assert words in str(fault.value)


def test_floor_and_cap_hold_every_year():
    bounds = {"market.price_floor": "60 USD/MWh", "market.price_cap": "115 USD/MWh"}
    assert prices(GROWING | AFTER | bounds) == pytest.approx([100, 110, 115, 60, 60, 60.5])
    level = 1.02 ** np.arange(2, 8)  # price level of the operating years over that of 2028
    free = np.array([100, 110, 121, 50, 55, 60.5])
    assert prices(GROWING | AFTER | bounds | REAL) == pytest.approx(np.clip(free, 60, 115) * level)


@pytest.mark.parametrize(
    "told",
    [
        {"market.price_floor": "60 USD/MWh"},
        {"market.price_cap": "82 USD/MWh"},
        {"market.price_floor": "60 USD/MWh", "market.price_cap": "82 USD/MWh"} | REAL,
        {"market.price_cap": "95 USD/MWh", "tax.rate": "30 %"},
    ],
)
def test_the_required_price_is_exact_with_a_floor_or_a_cap(told):
    """Put back as the stated price, it leaves the owner nothing over."""
    told = GROWING | AFTER | told
    needed = evaluate(Case.read(PLAIN, told=told))
    found = needed.value("required_price")
    level = needed.index[needed.build_years, 0] if "market.price_basis" in told else 1.0
    again = evaluate(Case.read(PLAIN, told=told | {"market.price": f"{float(found / level)!r} USD/MWh"}))
    assert again.value("npv_equity") == pytest.approx(0, abs=1e-6)
    assert (yearly(again) != yearly(evaluate(Case.read(PLAIN, told=told)))).any()


def test_where_no_price_within_a_cap_is_enough():
    result = evaluate(Case.read(PLAIN, told=GROWING | {"market.price_cap": "30 USD/MWh"}))
    assert result.metrics["required_price"].reason.startswith("no price up to twenty times")
    result = evaluate(Case.read(PLAIN, told=GROWING | {"market.price_floor": "300 USD/MWh"}))
    assert result.metrics["required_price"].reason.startswith("even a price of zero")


def test_factors_weigh_the_energy_of_the_months():
    """Output even over the year: 0.9986 of the contract price, and nothing of what follows it."""
    factor = np.dot(FACTORS, MONTH_HOURS) / MWH
    found = prices(GROWING | AFTER | {"market.delivery_factors": str(FACTORS)})
    assert found == pytest.approx([*factor * np.array([100, 110, 121]), 50, 55, 60.5], rel=1e-12)
    assert factor == pytest.approx(0.9986, abs=5e-5)


def test_all_energy_in_one_month_earns_its_factor():
    only_june = ["0 MW"] * 5 + ["1 MW"] + ["0 MW"] * 6
    told = GROWING | {"market.delivery_factors": str(FACTORS), "plant.stated_output": str(only_june)}
    assert prices(told)[0] == pytest.approx(150, rel=1e-12)


def test_months_that_a_late_unit_misses_earn_no_factor():
    """181 days are January to June: July to December are left of year 1, and year 2 is whole."""
    told = GROWING | {"market.delivery_factors": str(FACTORS), "timeline.delay": "181 d"}
    left = np.dot(FACTORS[6:], MONTH_HOURS[6:]) / sum(MONTH_HOURS[6:])
    found = prices(told)
    assert found[:2] == pytest.approx([100 * left, 110 * np.dot(FACTORS, MONTH_HOURS) / MWH], rel=1e-9)


def test_factors_from_a_file(tmp_path):
    blocks = "month,block,share of hours,factor\n" + "".join(
        f"{m},day,0.5,1.6\n{m},night,0.5,0.4\n" for m in range(1, 13)
    )
    found = evaluate(beside(tmp_path, "f.csv", blocks, GROWING | {"market.delivery_file": "f.csv"}))
    assert yearly(found)[:2] == pytest.approx([100, 110], rel=1e-12)
    for change, words in (
        (("12,night,0.5", "12,night,0.4"), "shares of hours of month 12 sum to 0.9, not 1"),
        (("3,night", "3,day"), "line 7: block 'day' of month 3 stands twice"),
        (("3,night", "13,night"), "line 7: 13 is not a month"),
        (("1,day,0.5,1.6", "1,day,0.5,x"), "line 2: 'x' is not a factor"),
        (("1.6", "1.8"), "factors are 1.1000 on average over the hours of the year"),
    ):
        case = beside(tmp_path, "f.csv", blocks.replace(*change), GROWING | {"market.delivery_file": "f.csv"})
        with pytest.raises(CaseError) as fault:
            evaluate(case)
        assert words in str(fault.value)


def test_factors_must_be_one_on_average():
    with pytest.raises(CaseError, match=r"market\.delivery_factors: factors are 1\.0100 on average") as fault:
        evaluate(Case.read(PLAIN, told=GROWING | {"market.delivery_factors": str([1.01] * 12)}))
    assert "divide them all by 1.0100" in str(fault.value)
    assert prices(GROWING | {"market.delivery_factors": str([1.002] * 12)})[0] == pytest.approx(100.2)


def test_the_price_is_paid_at_the_delivery_point():
    result = evaluate(Case.read(PLAIN, told=GROWING | {"site.line_loss": "4 %"}))
    assert yearly(result, "revenue") == pytest.approx(0.96 * MWH * 100 * 1.1 ** np.arange(6))


def test_energy_that_was_promised():
    """Cooling takes energy year by year; what falls short of 8,500 MWh costs 20 USD/MWh, in any year's money."""
    told = GROWING | AFTER | {
        "resource.temperature": "120 degC", "resource.temperature_decline": "1 K/yr", "plant.brine_slope": "2 %/K",
        "market.guaranteed_energy": "8500 MWh/yr", "market.shortfall_penalty": "20 USD/MWh",
    }  # fmt: skip
    result = evaluate(Case.read(PLAIN, told=told))
    short = np.maximum(8500 - yearly(result, "delivered_energy"), 0)
    assert (short[1:3] > 0).all()
    paid = result.operating_accounts["shortfall_penalty"][1:, 0]
    assert paid == pytest.approx([*20 * short[:3], 0, 0, 0])  # the contract is over after three years
    without = evaluate(Case.read(PLAIN, told={k: v for k, v in told.items() if k[7:12] not in {"guara", "short"}}))
    assert result.annual["operating_cost"] - without.annual["operating_cost"] == pytest.approx(
        result.operating_accounts["shortfall_penalty"]
    )
    named = [warning for warning in result.warnings if "promised" in warning]
    years = "year 3" if short[1] == 0 else "years 2 to 3" if short[0] == 0 else "years 1 to 3"
    assert len(named) == 1
    assert f"in {years}, {short[:3].sum():,.0f} MWh in all" in named[0]


@pytest.mark.parametrize("told", [STEPS, GROWING | AFTER, GROWING | AFTER | {"market.price_cap": "105 USD/MWh"}])
def test_one_price_put_in_the_place_of_many(told):
    """A level price, nominal or real, and a sum a year, worth what the prices are worth."""
    result = evaluate(Case.read(PLAIN, told=told))
    worth = present_value(result.annual["revenue"], np.array([0.08]), result.times)[0]
    level, real = result.value("price_levelized_nominal"), result.value("price_levelized_real")
    for other in ({"market.price": f"{level!r} USD/MWh"}, {"market.price": f"{real!r} USD/MWh"} | REAL):
        again = evaluate(Case.read(PLAIN, told=other))
        assert present_value(again.annual["revenue"], np.array([0.08]), again.times)[0] == pytest.approx(worth)
    assert annuity(result) * (1 - 1.08**-6) / 0.08 == pytest.approx(worth)
    lines = price_readings(result)[0].lines
    assert lines[1].value == f"{level:.2f} USD/MWh"
    assert "money of 2028" in lines[2].basis
    assert price_readings(evaluate(Case.read(PLAIN))) == ()

    """A floor of nothing and a cap out of reach take the general way and come to the same price."""
    result = evaluate(Case.read(PLAIN, told=GROWING | AFTER))
    bounds = {"market.price_floor": "0 USD/MWh", "market.price_cap": "1e6 USD/MWh"}
    bent = evaluate(Case.read(PLAIN, told=GROWING | AFTER | bounds))
    assert bent.value("required_price") == pytest.approx(result.value("required_price"), rel=1e-11)


@pytest.mark.parametrize(
    "told", [STEPS, GROWING | {"market.delivery_factors": str(FACTORS), "market.price_cap": "99 USD/MWh"}]
)
def test_every_explanation_comes_out(told):
    result = evaluate(
        Case.read(PLAIN, told=told | {"market.guaranteed_energy": "9 GWh/yr", "market.shortfall_penalty": "5 USD/MWh"})
    )
    for metric in ("required_price", "price_levelized_real", "npv", "lcoe_real", "first_year_operating_cost"):
        explain(result, metric)


def test_scenarios_together_are_as_they_are_alone():
    told = GROWING | AFTER | {
        "market.delivery_factors": str(FACTORS), "market.price_floor": "60 USD/MWh", "market.tail_growth": "1 %/yr",
        "market.guaranteed_energy": "8000 MWh/yr", "market.shortfall_penalty": "20 USD/MWh", "tax.rate": "25 %",
    }  # fmt: skip
    case = Case.read(PLAIN, told=told)
    values = {
        "timeline.delay": np.array([0.0, 0.3, 1.0, 2.2]), "market.price_floor": np.array([0.0, 55.0, 60.0, 110.0]),
        "market.tail_growth": np.array([0.0, 0.01, -0.02, 0.05]), "site.line_loss": np.array([0.0, 0.1, 0.02, 0.3]),
    }  # fmt: skip
    together = evaluate(case.with_values(values))
    for at in range(4):
        alone = evaluate(case.with_values({path: float(value[at]) for path, value in values.items()}))
        assert np.array_equal(together.annual["price"][:, at], alone.annual["price"][:, 0])
        for key, metric in together.metrics.items():
            assert np.array_equal(metric.values[at], alone.metrics[key].values[0], equal_nan=True), (key, at)


def test_a_changed_case_is_written_with_its_prices():
    case = Case.read(PLAIN, told=STEPS)
    assert Case.read(case.to_toml()) == case
    other = case.with_values({"market.price_steps": {"1": "70 USD/MWh", "5": "75 USD/MWh"}})
    assert yearly(evaluate(other)) == pytest.approx([70] * 4 + [75] * 2)
    assert Case.read(other.to_toml()) == other
