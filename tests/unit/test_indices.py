"""Shares of a spread: closed forms, a second implementation, plain counting, and cases."""

import re

import numpy as np
import pytest

import geoecon
from geoecon import evaluate, size
from geoecon.case import load_case
from geoecon.errors import CaseError
from geoecon.report.charts import picture_file
from geoecon.report.charts.indices import driver_dots
from geoecon.report.indices import as_json, drivers, indices_columns, lines, notes, verdict
from geoecon.report.tables import table_file
from geoecon.result import METRICS
from geoecon.studies.draws import DRILLING
from geoecon.studies.indices import chances, explore, explore_case, indices
from geoecon.studies.uncertain import uncertain_inputs

CASES = tuple(geoecon.shipped_cases())
DRAWS = 8192


def ishigami(sample, a=7.0, b=0.1):
    x = np.pi * (2 * sample - 1)
    return (np.sin(x[0]) + a * np.sin(x[1]) ** 2 + b * x[2] ** 4 * np.sin(x[0]))[None]


COEFFICIENTS = np.array([0, 1, 4.5, 9, 99, 99, 99, 99])


def sobols_g(sample):
    a = COEFFICIENTS[: len(sample)].reshape(-1, 1)
    return np.prod((np.abs(4 * sample - 2) + a) / (1 + a), axis=0)[None]


def test_ishigami():
    """Closed form for a = 7, b = 0.1, as widely printed (from memory): V = a^2/8 + b pi^4/5 + b^2 pi^8/18 + 1/2."""
    found = indices(explore(ishigami, 3, DRAWS, 1)[0], 1)
    variance = 49 / 8 + 0.1 * np.pi**4 / 5 + 0.01 * np.pi**8 / 18 + 0.5
    assert variance == pytest.approx(13.8445879407)
    assert found.mean == pytest.approx(3.5, abs=1e-3)
    assert found.deviation**2 == pytest.approx(variance, rel=2e-3)
    assert found.first == pytest.approx([0.3139051911, 0.4424111448, 0.0], abs=4e-3)
    assert found.total == pytest.approx([0.5575888552, 0.4424111448, 0.2436836641], abs=2e-3)
    assert (found.used, found.left_out) == (DRAWS, 0)


def test_sobols_g():
    """Closed form: V_i = 1/3 / (1 + a_i)^2, V = prod(1 + V_i) - 1; the printed values are from memory."""
    found = indices(explore(sobols_g, 8, DRAWS, 1)[0], 1)
    alone = 1 / 3 / (1 + COEFFICIENTS) ** 2
    variance = np.prod(1 + alone) - 1
    first, total = alone / variance, alone * np.prod(1 + alone) / (1 + alone) / variance
    assert first == pytest.approx([0.716192, 0.179048, 0.023676, 0.007162, *[0.000072] * 4], abs=5e-7)
    assert total == pytest.approx([0.787144, 0.242198, 0.034317, 0.010460, *[0.000105] * 4], abs=5e-7)
    assert found.first == pytest.approx(first, abs=3e-3)
    assert found.total == pytest.approx(total, abs=3e-3)


@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize(("figures", "inputs"), [(ishigami, 3), (sobols_g, 8)])
def test_a_second_implementation_finds_the_same_from_the_same_values(figures, inputs):
    """SALib takes the values row by row: A, each AB, B."""
    from SALib.analyze import sobol

    values = explore(figures, inputs, 512, 3)[0]
    ours = indices(values, 3)
    in_rows = np.vstack([values[0], values[2:], values[1]]).T.ravel()
    problem = {"num_vars": inputs, "names": [f"x{n}" for n in range(inputs)], "bounds": [[0, 1]] * inputs}
    theirs = sobol.analyze(problem, in_rows, calc_second_order=False, num_resamples=400, conf_level=0.9, seed=1)
    assert ours.first == pytest.approx(theirs["S1"], abs=1e-12)
    assert ours.total == pytest.approx(theirs["ST"], abs=1e-12)
    for range_, confidence in ((ours.first_range, theirs["S1_conf"]), (ours.total_range, theirs["ST_conf"])):
        big = confidence > 1e-3
        assert (range_[1] - range_[0])[big] == pytest.approx(2 * confidence[big], rel=0.25)


def test_a_sum_shares_its_spread_as_the_variances_do_and_an_idle_input_has_none():
    weights = np.array([[3.0], [2.0], [1.0], [0.0]])
    found = indices(explore(lambda sample: (weights * sample).sum(axis=0)[None], 4, 1024, 5)[0], 5)
    shares = (weights**2 / (weights**2).sum()).ravel()
    assert found.total == pytest.approx(shares, abs=5e-3)
    assert found.first == pytest.approx(shares, abs=5e-3)
    assert found.first[3] == 0
    assert found.total[3] == 0
    inside = (found.first_range[0] <= shares) & (shares <= found.first_range[1])
    assert inside.all()


def test_samples_are_even_independent_and_keyed_by_the_seed():
    a, b = chances(5, 1024, 7)
    for column in (*a, *b):
        assert np.array_equal(np.sort(np.floor(column * 1024)), np.arange(1024))
    assert np.abs(np.corrcoef(np.vstack([a, b])) - np.eye(10)).max() < 0.05
    again, other = chances(5, 1024, 7)[0], chances(5, 1024, 8)[0]
    assert np.array_equal(a, again)
    assert not np.array_equal(a, other)
    assert ((a > 0) & (a < 1)).all()


def test_parts_do_not_matter():
    """So many draws run through several passes."""
    whole = ishigami(chances(3, 8192, 2)[0])[0]
    assert np.array_equal(explore(ishigami, 3, 8192, 2)[0][0], whole)


def test_draws_without_a_value_are_left_out_and_counted():
    values = explore(ishigami, 3, 512, 1)[0]
    holed = values.copy()
    holed[0, 5] = holed[3, 5] = holed[4, 100] = np.nan
    found, without = indices(holed, 1), indices(np.delete(values, [5, 100], axis=1), 1)
    assert (found.used, found.left_out) == (510, 2)
    for name in ("first", "total", "first_range", "total_range"):
        assert np.array_equal(getattr(found, name), getattr(without, name))


@pytest.mark.parametrize("values", [np.full((5, 64), 3.0), np.full((5, 64), np.nan), np.full((5, 64), 0.0)])
def test_what_does_not_vary_has_no_shares(values):
    found = indices(values, 1)
    assert not found.varies
    assert np.isnan(found.first).all()


@pytest.fixture(scope="module")
def explored():
    return {name: explore_case(load_case(geoecon.shipped_case(name)), draws=64) for name in CASES}


@pytest.mark.parametrize("name", CASES)
def test_values_of_a_case_are_plain_passes_with_the_plant_held(explored, name):
    case, found = load_case(geoecon.shipped_case(name)), explored[name]
    uncertain, design = uncertain_inputs(case), size(case)
    assert [path for path in found.inputs if path != DRILLING] == list(uncertain)
    a, b = chances(len(found.inputs), 64, 1)
    last = len(found.inputs) - 1 - (DRILLING in found.inputs)
    mixed = a.copy()
    mixed[last] = b[last]
    for row, sample in ((0, a), (1, b), (2 + last, mixed)):
        values = {p: i.distribution.quantile(sample[n]) for n, (p, i) in enumerate(uncertain.items())}
        plain = evaluate(case.with_values(values), design)
        for key in ("first_year_energy", "lifetime_energy"):  # failed wells cost money and no energy
            assert np.array_equal(found.values[key][row], plain.metrics[key].values, equal_nan=True)
        if DRILLING not in found.inputs:
            assert np.array_equal(found.values["npv"][row], plain.metrics["npv"].values, equal_nan=True)


def test_drilling_moves_cost_and_no_energy(explored):
    found = explored["sorrel-basin"]
    at = list(found.inputs).index(DRILLING)
    assert found.indices("capital_cost").total[at] > 0.05
    assert found.indices("lifetime_energy").total[at] == 0
    assert DRILLING not in explored["pell-crossing"].inputs  # its wells exist
    assert DRILLING not in explored["tessel-ridge"].inputs


def test_wells_that_differ_spread_less_than_wells_alike():
    told = {"uncertainty": '\n[uncertainty."wells.flow_per_producer"]\nshape = "lognormal"\nmedian = "1400 gpm @ 155 degC"\n'
            "factor = 1.3\n"}  # fmt: skip
    text = geoecon.shipped_case("sorrel-basin").read_text(encoding="utf-8")
    assert told["uncertainty"].strip() in text
    apart = geoecon.case.Case.read(text.replace("factor = 1.3", "factor = 1.3\ncommon = 0"))
    alike = geoecon.case.Case.read(text)
    metric = "first_year_energy"
    at = list(explore_case(alike, (metric,), 128).inputs).index("wells.flow_per_producer")
    spreads = []
    for case in (alike, apart):
        found = explore_case(case, (metric,), 128).indices(metric)
        spreads.append(found.total[at] * found.deviation**2)
    assert spreads[1] < 0.8 * spreads[0]


@pytest.mark.parametrize("name", CASES)
def test_words_chart_and_table_of_every_figure(explored, name):
    case = explored[name]
    for metric in METRICS:
        found = drivers(case, metric)
        text = "\n".join(lines(found))
        assert not re.search(r"\bnan\b", text)
        assert verdict(found).endswith(".")
        if found.indices.varies:
            assert re.search(r"\d %|less than 1 %", verdict(found))
        if found.indices.varies and metric in {"required_price", "npv", "irr_equity", "lifetime_energy"}:
            chart = driver_dots(found)
            chart.picture.to_dict()
            assert len(chart.data) == 2 * len(case.inputs)
            totals = chart.data["%"].to_numpy()[1::2]
            assert (np.diff(totals) <= 0).all()
    assert b"<svg" in picture_file(driver_dots(drivers(case, "required_price")), "svg")
    assert len(table_file(indices_columns([drivers(case, "npv")]), "csv").decode().splitlines()) == len(case.inputs) + 1
    assert as_json(case, ["npv"])["metrics"]["npv"]["used"] + as_json(case, ["npv"])["metrics"]["npv"]["left_out"] == 64


def test_no_debt_and_no_spread_are_said(explored):
    found = explored["tessel-ridge"]
    assert verdict(drivers(found, "dscr_min")).startswith("There is no dscr_min in any draw: the case has no debt")
    assert verdict(drivers(found, "net_capacity")) == "net_capacity is 2.400 MW in every draw: nothing here moves it."


def test_many_draws_left_out_are_a_warning(short_table):
    found = drivers(explore_case(short_table, draws=64), "npv")
    assert found.indices.left_out > 3
    told = " ".join(notes(found))
    assert f"{found.indices.left_out} of 64 draws are left out, because npv has no value" in told
    assert "no fair sample" in told


def test_inputs_that_go_together_are_said():
    text = geoecon.shipped_case("sorrel-basin").read_text(encoding="utf-8")
    pair = '\n[[uncertainty.correlation]]\npaths = ["resource.temperature", "wells.flow_per_producer"]\nrank = 0.5\n'
    found = explore_case(geoecon.case.Case.read(text + pair), ("npv",), 64)
    assert found.coupled == ["resource.temperature", "wells.flow_per_producer"]
    assert "do not hold for inputs that move together" in " ".join(notes(drivers(found, "npv")))


def test_draws_are_rounded_up_to_a_power_of_two():
    case = load_case(geoecon.shipped_case("dunmarrow"))
    assert explore_case(case, ("npv",), 100).draws == 128
    assert explore_case(case, ("npv",), 128).passes == 128 * 4


@pytest.mark.parametrize(
    ("metrics", "draws", "words"),
    [(("beauty",), 64, "is no figure"), (("npv",), 63, "outside 64"), (("npv",), 10**6, "65,536")],
)
def test_what_cannot_be_asked_is_refused(metrics, draws, words):
    with pytest.raises(CaseError, match=words):
        explore_case(load_case(geoecon.shipped_case("dunmarrow")), metrics, draws)


def test_inputs_that_cannot_be_told_apart_are_named_together():
    explored = explore_case(load_case(geoecon.shipped_case("sorrel-basin")), ["npv"], 512)
    found = drivers(explored, "npv")
    first, second = found.order[:2]
    apart = found.indices.total_range[1, second] < found.indices.total_range[0, first]
    assert not apart
    assert verdict(found).startswith(f"{found.names[0]}")
    assert "these draws do not tell which of them more" in verdict(found)
