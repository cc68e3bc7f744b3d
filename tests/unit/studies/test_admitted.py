"""Values that contradict the rest of a case: every study keeps what is finished, counts what is not, and says why.

Checked against a plain loop of single cases, and against the rule that gross power is not below net power.
"""

import numpy as np
import pytest

import geoecon
from geoecon.case import Case
from geoecon.errors import CaseError
from geoecon.report.indices import drivers, notes
from geoecon.report.sweeps import lines
from geoecon.report.tornado import tornado_sentence
from geoecon.sizing import size
from geoecon.studies.grid import Range, grid
from geoecon.studies.indices import explore_case
from geoecon.studies.sweep import sweep
from geoecon.studies.tornado import spider, tornado

NET, GROSS_KW = "plant.net_capacity", 8000.0
WHY = "plant.gross_capacity: is below net_capacity"


def case_with(low, high, known="after-design"):
    """A stated plant of 8 MW gross whose net capacity, 6 MW, is unsure."""
    text = geoecon.shipped_case("ambry-wells").read_text(encoding="utf-8")
    unsure = f'[uncertainty."{NET}"]\nshape = "uniform"\nlow = "{low}"\nhigh = "{high}"\nknown = "{known}"\n'
    return Case.read(f"{text}\n{unsure}", "a case")


def test_a_sweep_keeps_the_values_that_can_be():
    case = case_with("5 MW", "9 MW")
    found = sweep(case, NET, 4000.0, 9000.0, 6)
    beyond = found.values > GROSS_KW
    assert 0 < beyond.sum() < beyond.size
    for key, values in found.metrics.items():
        assert np.isnan(values[beyond]).all()
        assert all(WHY in found.reasons[key][n] for n in np.flatnonzero(beyond))
    for n in np.flatnonzero(~beyond):
        alone = geoecon.evaluate(case.with_values({NET: float(found.values[n])}))
        assert all(np.array_equal(found.metrics[k][n], m.values[0], equal_nan=True) for k, m in alone.metrics.items())
    assert f"none in npv at {beyond.sum()} of {beyond.size} values: {WHY}" in "\n".join(lines(found, ["npv"]))


def test_a_sweep_beyond_the_bounds_of_its_field_is_refused():
    with pytest.raises(CaseError, match="is outside 0 % to") as refused:
        sweep(case_with("5 MW", "7 MW"), "finance.debt_share", 0.0, 1.7, 5)
    assert refused.value.faults[0].path == "finance.debt_share"


def test_a_sweep_in_which_nothing_can_be_worked_out_says_so_once():
    cold = geoecon.load_case(geoecon.shipped_case("sorrel-basin"), {"resource.temperature": "60 degC"})
    with pytest.raises(CaseError, match="nothing can be worked out in this range: ") as refused:
        sweep(cold, "operation.fixed_cost", 50.0, 150.0, 5)
    assert len(refused.value.faults) == 1


def test_a_grid_keeps_the_cells_that_can_be():
    case = case_with("5 MW", "9 MW")
    found = grid(case, Range(NET, "4 MW", "9 MW", 3), Range("market.price", None, None, 2))
    beyond = found.across.values > GROSS_KW
    assert beyond.any()
    assert np.isnan(found.metrics["npv"][:, beyond]).all()
    assert np.isfinite(found.metrics["npv"][:, ~beyond]).all()
    assert WHY in found.obstacle


@pytest.mark.parametrize("known", ["after-design", "before-design"])
@pytest.mark.parametrize("study", [tornado, spider])
def test_one_at_a_time_keeps_the_values_that_can_be(study, known):
    case = case_with("5 MW", "9 MW", known)
    found, free = study(case), study(case_with("5 MW", "7 MW", known))
    row = [moved.input.path for moved in found.inputs].index(NET)
    beyond = found.inputs[row].values > GROSS_KW
    assert 0 < beyond.sum() < beyond.size
    assert np.isnan(found.metrics["npv"][row, beyond]).all()
    assert all(WHY in found.reasons["npv"][row][n] for n in np.flatnonzero(beyond))
    others = np.arange(len(found.inputs)) != row
    for key, values in found.metrics.items():
        assert np.array_equal(values[others], free.metrics[key][others], equal_nan=True)
    design = size(case)
    for n in np.flatnonzero(~beyond):
        there = case.with_values({NET: float(found.inputs[row].values[n])})
        alone = geoecon.evaluate(there, design if known == "after-design" else None)
        assert found.metrics["npv"][row, n] == pytest.approx(alone.value("npv"), rel=1e-12)
    assert WHY in tornado_sentence(found, "npv")


def test_when_no_value_can_be_one_message_says_so():
    with pytest.raises(
        CaseError, match=f"none of the 2 values of its uncertain inputs can be worked out.*{WHY}"
    ) as refused:
        tornado(case_with("8.5 MW", "9 MW"), only=[NET])
    assert len(refused.value.faults) == 1


def test_drivers_leave_out_what_is_refused_and_count_it():
    case = case_with("5 MW", "9 MW")
    found = explore_case(case, ("npv", "capital_cost"), draws=64)
    net = list(found.inputs).index(NET)
    values = found.values["npv"]
    assert np.isfinite(values).any()
    assert np.isnan(values).any()
    # A row of the sample is refused where its net capacity, from A or from B, is beyond the gross: a quarter of 5 to 9 MW.
    refused = np.isnan(values)
    others = [n for n in range(len(found.inputs)) if n != net]
    assert (refused[0] == refused[2 + others[0]]).all()
    assert (refused[1] == refused[2 + net]).all()
    assert refused[:2].mean() == pytest.approx(0.25, abs=0.02)
    said = " ".join(notes(drivers(found, "npv")))
    assert f"{int(refused.any(axis=0).sum())} of 64 draws are left out" in said
    assert WHY in said


def test_what_stands_in_the_way_of_a_low_is_said_as_a_single_case_says_it():
    """Not the code of a pass over many, but the words with which the case of that one value is refused."""
    text = geoecon.shipped_case("sorrel-basin").read_text(encoding="utf-8")
    for before, after in (
        ('low = "149 degC"', 'low = "20 degC"'), ('mode = "158 degC"', 'mode = "25 degC"'),
        ('high = "164 degC"', 'high = "180 degC"'),
    ):  # fmt: skip
        assert text.count(before) == 1
        text = text.replace(before, after)
    case = Case.read(text)
    found = tornado(case, only=["resource.temperature"])
    low = float(found.inputs[0].values[0])
    with pytest.raises(CaseError) as refused:
        geoecon.evaluate(case.with_values({"resource.temperature": low}), size(case), unsolved="raise")
    fault = refused.value.faults[0]
    said = f"{fault.path}: {fault.message.removeprefix('as set for this run: ')}"
    assert {found.reasons[key][0][0] for key in ("npv", "capital_cost", "net_capacity")} == {said}
    assert found.reasons["npv"][0][1] == ""
