"""What an owner is told first where a limit of its own is in the way."""

import pytest

import geoecon
from geoecon.case import load_case
from geoecon.report.headline import headline
from geoecon.report.verdict import verdict


def told(name, **texts):
    result = geoecon.evaluate(
        load_case(geoecon.shipped_case(name), {k.replace("__", "."): v for k, v in texts.items()})
    )
    return result, verdict(result)


def test_a_year_that_no_price_mends_is_named():
    """The last year pays for decommissioning out of a price after the term that the first price does not move."""
    result, words = told("ambry-wells", project__owner="cooperative")
    flows = result.annual["cash_flow_equity"][:, 0]
    (short,) = [n for n in range(result.build_years, len(flows)) if flows[n] < 0]
    year = int(result.annual["year"][short, 0])
    assert f"what stays short at any of them is cash not below zero in year {year}" in words
    mended, words = told("ambry-wells", project__owner="cooperative", market__price_after_term="110 USD/MWh")
    assert mended.value("required_price") > 0
    assert "stays short" not in words


def test_a_commitment_beyond_what_is_allowed_is_no_yes():
    result, words = told("kettle-sound", finance__commitment_cap="10 MUSD")
    over = result.value("total_commitment") - 10e6
    assert words.startswith("At the stated price it pays, but the owner is committed to ")
    assert f"{over / 1e6:.3f} MUSD more than is allowed" in words
    assert "more than is allowed" not in told("kettle-sound", finance__commitment_cap="20 MUSD")[1]
    words = told("kettle-sound", finance__commitment_cap="10 MUSD", market__price="100 USD/MWh")[1]
    assert words.startswith("At the stated price it does not give what is asked: the owner is committed to ")


@pytest.mark.parametrize(("price", "earns"), [("240 USD/MWh", "below the"), ("255 USD/MWh", "and the")])
def test_a_public_owner_is_judged_by_cover_and_told_the_return_apart(price, earns):
    """Between the price of cover and that of the return it pays, and both prices are named."""
    result, words = told("kettle-sound", market__price=price)
    returned = result.found_prices["price_for_return"].path.first[0]
    stated = result.annual["price"][result.build_years, 0]
    assert result.value("required_price") < stated
    assert (stated < returned) == (earns == "below the")
    assert words.startswith("At the stated price it pays: to cover the debt service as asked")
    assert f"{earns} 4.0 % asked" in words
    assert f"takes {returned:.2f} USD/MWh in year 1" in words
    (named,) = [line for line in headline(result).lines if line.label == "Price for the return"]
    assert named.value == f"{returned:.2f} USD/MWh"


def test_the_price_for_the_return_gives_the_return():
    result, _ = told("kettle-sound")
    first = result.found_prices["price_for_return"].path.first[0]
    at = told("kettle-sound", market__price=f"{first:.12f} USD/MWh", market__price_basis="nominal")[0]
    real = told("kettle-sound", market__price=f"{first / result.index[result.build_years, 0]:.12f} USD/MWh")[0]
    assert at.value("npv_equity") < real.value("npv_equity") == pytest.approx(0, abs=1)
    assert real.value("irr_equity") == pytest.approx(0.04, abs=1e-9)


@pytest.mark.parametrize(
    ("price", "start", "end"),
    [
        ("94 USD/MWh", "At the stated price it pays: one level price of 104.67 USD/MWh", "worth one of 107.17"),
        ("90 USD/MWh", "At the stated price it does not give what is asked: one level price of 104.67", "2.0 % short"),
    ],
)
def test_a_utility_is_judged_by_the_revenue_it_requires(price, start, end):
    """By hand: the level price worth the same as 25 prices that grow by 1.5 % a year, at the utility's own rate."""
    result, words = told("pell-crossing", market__price=price)
    assert words.startswith(start)
    assert end in words
    rate, first = result.asked["requirement_rate"][0], float(price.split()[0])
    energy = result.annual["delivered_energy"][result.build_years :, 0]
    worth = [first * 1.015**n * sold / (1 + rate) ** (n + 1) for n, sold in enumerate(energy)]
    level = sum(worth) / sum(sold / (1 + rate) ** (n + 1) for n, sold in enumerate(energy))
    assert f"worth one of {level:.2f} USD/MWh at the utility's own rate" in words
    assert "below the 9.5 % asked, which takes 97.62 USD/MWh in year 1" in words
