"""The hand calculation beside a shipped case agrees with the run, table by table."""

import re

import pytest

import geoecon

CASE = geoecon.shipped_case("dunmarrow")
TEXT = CASE.with_suffix(".md").read_text(encoding="utf-8")
COLUMNS = ("interest", "principal", "debt_balance", "tax", "cfads", "dscr", "cash_flow_equity")


@pytest.fixture(scope="module")
def result():
    return geoecon.evaluate(geoecon.load_case(CASE))


def test_metrics_agree(result):
    rows = re.findall(r"^\| `(\w+)` \| ([\d.]+) (\S+) \|$", TEXT, re.M)
    assert len(rows) == 11
    for name, figure, unit in rows:
        assert result.value(name) == pytest.approx(float(figure), rel=5e-6)
        assert result.metrics[name].unit == unit


def test_the_yearly_table_agrees(result):
    rows = re.findall(r"^\| (\d) \|(.+)\|$", TEXT, re.M)
    assert [year for year, _ in rows] == list("12345")
    for year, cells in rows:
        by_hand = [float(cell.replace(",", "")) for cell in cells.split("|")]
        for column, figure in zip(COLUMNS, by_hand, strict=True):
            scale = 1 if column == "dscr" else 1000
            assert result.annual[column][int(year), 0] / scale == pytest.approx(figure, abs=0.0051)


def test_later_years_agree(result):
    assert result.annual["cash_flow_equity"][6:, 0] == pytest.approx([2156070.0] * 5)


README = (
    (CASE.parent.parent / "README.md").read_text(encoding="utf-8")
    if (CASE.parent.parent / "README.md").exists()
    else ""
)


def test_the_readme_works_the_binary_case():
    """Figures that the README's section prints, against the run, to the digits printed there."""
    section = README.partition("## Sorrel Basin by hand")[2].partition("\n## ")[0]
    result = geoecon.evaluate(geoecon.load_case(geoecon.shipped_case("sorrel-basin")))
    ledger, capital = result.ledger, result.capital_accounts
    printed = [
        f"{result.value('brine_flow'):.1f} kg/s",
        f"{result.value('gross_capacity') * 1000 / result.value('brine_flow'):.2f} kW gross",
        f"{result.value('plant_net_capacity') * 1000 / result.value('brine_flow'):.2f} kW plant net",
        f"at {result.value('injection_temperature'):.0f} degC",
        f"two take {result.value('well_pump_power') * 1000:.0f} kW",
        f"{result.value('wells_drilled'):.1f} wells are drilled",
        f"= {capital['wells'][0] / 1e6:.2f}. Plant",
        f"= {capital['plant'][0] / 1e6:.2f}. Pumps",
        f"Together {result.value('capital_cost') / 1e6:.2f}, or {result.value('capital_cost_per_kw'):,.0f} USD/kW",
        f"= {ledger['gross_at_design'][0]:,.0f}; weather {ledger['weather'][0]:,.0f}",
        f"output limit {ledger['output_limit'][0]:,.0f}; plant use {ledger['plant_auxiliaries'][0]:,.0f}",
        f"outages {ledger['planned_outage'][0]:,.0f} and {ledger['forced_outage'][0]:,.0f}",
        f"unit net {ledger['unit_net'][0]:,.0f}; line loss 2 %: {result.value('first_year_energy'):,.0f} delivered",
        f"years {result.value('lifetime_energy'):,.0f}",
        f"= {result.value('wacc') * 100:.2f} %; real",
        f"it is {result.value('lcoe_real'):.1f} USD/MWh",
    ]
    text = " ".join(section.split())
    assert [words for words in printed if words not in text] == []
