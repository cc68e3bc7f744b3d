"""What an owner is told first where a limit of its own is in the way."""

import geoecon
from geoecon.case import load_case
from geoecon.report.answer import verdict


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
    assert words.startswith("At the stated price it does not give what is asked: the owner is committed to ")
    assert f"{over / 1e6:.3f} MUSD more than is allowed" in words
    assert "more than is allowed" not in told("kettle-sound", finance__commitment_cap="20 MUSD")[1]
