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
