"""How many wells a case drills and what they cost: the design's wells, phases, flow that is unsure, cases without."""

import numpy as np
import pytest
from scipy import stats

import geoecon
from geoecon.case.remarks import remarks
from geoecon.engine import evaluate
from geoecon.errors import CaseError
from geoecon.report.drilling import differs, success
from geoecon.studies.drawn import order
from geoecon.studies.drilling import drilling
from geoecon.studies.indices import explore_case

PHASES = {"wells.success_first": "45 %", "wells.exploration_wells": "2"}


def case_of(name, **changes):
    return geoecon.load_case(geoecon.shipped_case(name)).with_texts(changes)


def test_the_wells_are_those_of_the_design_by_scipy():
    found = drilling(case_of("ambry-wells"))
    assert (found.producers, found.injectors) == (3, 2)
    for chance in (0.1, 0.5, 0.9):
        assert found.ends.wells.at_most(chance) == 5 + stats.nbinom.ppf(chance, 5, 0.7)
    assert found.ends.wells.within(7) == pytest.approx(stats.nbinom.cdf(2, 5, 0.7))
    assert found.ends.by_wells.enough == pytest.approx(stats.nbinom.cdf(found.ends.by_wells.drilled - 5, 5, 0.7))


@pytest.mark.parametrize("changes", [{}, PHASES, {**PHASES, "wells.existing_producers": "1"}])
def test_means_are_what_the_case_counts_on_where_none_is_reused(changes):
    case = case_of("ambry-wells", **changes)
    found, result = drilling(case), evaluate(case)
    assert found.ends.wells.mean == pytest.approx(result.value("wells_drilled"), rel=1e-9) == found.expected
    assert found.ends.money.mean == pytest.approx(found.expected_cost, rel=1e-9)
    assert found.account == pytest.approx(found.expected_cost * 1.05)  # the case's contingency of wells
    assert differs(found) == ""


def test_where_failed_producers_are_reused_it_says_why_the_means_differ():
    found = drilling(case_of("cinder-saddle"))
    assert found.ends.wells.mean < found.expected
    assert "failed producers that serve as injectors" in differs(found)


def test_money_of_the_account_is_enough_as_often_as_outcomes_say():
    found = drilling(case_of("ambry-wells"))
    rng = np.random.default_rng(5)
    failed = rng.negative_binomial(3, 0.7, 40_000), rng.negative_binomial(2, 0.7, 40_000)
    cost = (3 + failed[0]) * 2.3e6 + (2 + failed[1]) * 1.9e6
    assert found.ends.money.within(found.account) == pytest.approx((cost <= found.account).mean(), abs=0.01)
    assert found.ends.money.at_most(0.9) == pytest.approx(np.quantile(cost, 0.9, method="inverted_cdf"))


def test_learning_takes_more_wells_and_is_told():
    plain, learnt = drilling(case_of("ambry-wells")), drilling(case_of("ambry-wells", **PHASES))
    assert learnt.ends.wells.at_most(0.9) > plain.ends.wells.at_most(0.9)
    assert "59 % for the first 2 wells, which explore, then 45 % for the next, rising to 70 % after 13" in success(
        learnt
    )


def test_draws_of_risk_drill_as_the_outcomes_say():
    """Whole numbers over evenly spread chances: their mean is the expected one, learning in."""
    case = case_of("ambry-wells", **PHASES)
    chances = (np.arange(501) + 0.5) / 501
    drilled = order(case, {}).evaluate({"market.price": np.full(501, 90.0)}, chances).metrics["wells_drilled"].values
    assert drilled == pytest.approx(np.round(drilled))
    assert drilled.mean() == pytest.approx(evaluate(case).value("wells_drilled"), rel=0.01)


def test_an_early_chance_below_certainty_is_a_driver_though_success_is_sure():
    sure = case_of("ambry-wells", **{"wells.success": "100 %", "wells.success_first": "60 %"})
    assert "wells drilled" in explore_case(sure, ["wells_drilled"], draws=64).inputs


def test_flow_of_their_own_by_hand():
    """Flow of a well is 40 or 80 kg/s with even chances, all wells alike; as many are drilled as give the design's flow."""
    text = geoecon.shipped_case("ambry-wells").read_text(encoding="utf-8").replace('"1000 gpm @ 150 degC"', '"50 kg/s"')
    unsure = (
        '\n[uncertainty."wells.flow_per_producer"]\nshape = "discrete"\nvalues = ["40 kg/s", "80 kg/s"]\n'
        "chances = [0.5, 0.5]\n"
    )
    found = drilling(geoecon.case.Case.read(text + unsure))
    assert found.alike
    taken = evaluate(geoecon.case.Case.read(text)).value("brine_flow")
    few, many = (np.ceil(taken / flow) for flow in (80, 40))
    mean = ((few + found.injectors) + (many + found.injectors)) / 2 / 0.7
    assert found.own_flow.wells.mean == pytest.approx(mean, rel=1e-6)


def test_wells_that_differ_spread_less_than_wells_alike():
    text = geoecon.shipped_case("sorrel-basin").read_text(encoding="utf-8")
    here = '[uncertainty."wells.flow_per_producer"]\n'
    assert here in text
    alike = drilling(geoecon.case.Case.read(text))
    apart = drilling(geoecon.case.Case.read(text.replace(here, here + "common = 0.2\n")))
    assert alike.alike
    assert not apart.alike
    assert apart.own_flow.wells.mean > alike.ends.wells.mean
    assert drilling(geoecon.case.Case.read(text)).own_flow.wells.mean == alike.own_flow.wells.mean  # the same seed


@pytest.mark.parametrize(
    ("name", "changes", "words"),
    [
        ("tessel-ridge", {}, "tells no wells of its plant, so none is drilled; state plant.stated_brine_flow"),
        (
            "pell-crossing",
            {},
            "sized from the 3 wells that exist, so none is drilled; for new ones state plant.size_from",
        ),
        (
            "ambry-wells",
            {"wells.existing_producers": "3", "wells.existing_injectors": "2"},
            "all 5 wells that the unit needs exist, so none is drilled",
        ),
    ],
)
def test_a_case_without_wells_to_drill_says_what_to_state(name, changes, words):
    with pytest.raises(CaseError) as refused:
        drilling(case_of(name, **changes))
    assert [words in fault.message for fault in refused.value.faults] == [True]


@pytest.mark.parametrize(
    ("name", "changes", "path", "words"),
    [
        ("ambry-wells", {"success_first": "80 %"}, "success_first", "is above success"),
        ("ambry-wells", {"success_first": "0 %"}, "success_first", "0 % is outside 2 % to 100 %"),
        ("ambry-wells", {"success_first": "50 %", "learning_wells": "0"}, "learning_wells", "0 is outside 1 to 200"),
        ("ambry-wells", {"learning_wells": "5"}, "success_first", "is missing; learning_wells asks from which chance"),
        ("ambry-wells", {"exploration_wells": "-1"}, "exploration_wells", "-1 is outside 0 to 50"),
        (
            "ambry-wells",
            {"success_exploration": "0 %", "exploration_wells": "1"},
            "success_exploration",
            "0 % is outside",
        ),
        ("ambry-wells", {"success_exploration": "50 %"}, "exploration_wells", "asks for how many wells it holds"),
        (
            "ambry-wells",
            {"exploration_wells": "1", "existing_producers": "1"},
            "exploration_wells",
            "exist already (1)",
        ),
        (
            "ambry-wells",
            {"success_first": "50 %", "learning_wells": "1", "existing_producers": "1"},
            "success_first",
            "have taught all there is",
        ),
        ("pell-crossing", {"success_first": "50 %"}, "success_first", "is not used: size_from"),
        ("tessel-ridge", {"exploration_wells": "1"}, "exploration_wells", "is not used: no new well is counted"),
    ],
)
def test_bad_input_gives_one_clear_message(name, changes, path, words):
    with pytest.raises(CaseError) as refused:
        case_of(name, **{f"wells.{leaf}": text for leaf, text in changes.items()})
    assert [(fault.path, words in fault.message) for fault in refused.value.faults] == [(f"wells.{path}", True)]


def test_published_values_that_fill_in_are_told_as_assumptions():
    told = {row.path: row for row in evaluate(case_of("ambry-wells", **PHASES)).assumptions}
    assert (told["wells.learning_wells"].value, told["wells.learning_wells"].evidence) == ("13", "reviewed")
    assert (told["wells.success_exploration"].value, told["wells.success_exploration"].evidence) == ("0.59", "recalled")
    plain = {row.path for row in evaluate(case_of("ambry-wells")).assumptions}
    assert not plain & {"wells.learning_wells", "wells.success_exploration", "wells.exploration_wells"}


def test_a_success_that_is_unsure_below_the_first_is_remarked_on():
    text = geoecon.shipped_case("ambry-wells").read_text(encoding="utf-8")
    unsure = '\n[uncertainty."wells.success"]\nshape = "uniform"\nlow = "40 %"\nhigh = "80 %"\n'
    case = geoecon.case.Case.read(text + unsure, told=PHASES)
    assert any(
        "wells.success may be as low as 40 %, below the 45 % from which it rises" in said for said in remarks(case)
    )
    assert not any("from which it rises" in said for said in remarks(geoecon.case.Case.read(text + unsure)))
