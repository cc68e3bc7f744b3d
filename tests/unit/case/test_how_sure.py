"""What a case says of how sure it is: chances as texts, all faults of nested tables at once, values outside their range."""

import numpy as np
import pytest
from scipy import stats

import geoecon
from geoecon.case import Case
from geoecon.case.remarks import remarks
from geoecon.errors import CaseError
from geoecon.studies.breakeven import breakeven
from geoecon.studies.risk import risk
from geoecon.studies.targets import target
from geoecon.studies.uncertain import uncertain_inputs

TEXT = geoecon.shipped_case("ambry-wells").read_text(encoding="utf-8")
COST = "plant.cost_per_kw"


def case_with(more):
    return Case.read(f"{TEXT}\n{more}", "a case")


def faults_of(more):
    with pytest.raises(CaseError) as refused:
        case_with(more)
    return {fault.path: fault for fault in refused.value.faults}


def discrete(chances):
    return f'[uncertainty."{COST}"]\nshape = "discrete"\nvalues = ["2700 USD/kW", "3600 USD/kW"]\nchances = {chances}\n'


@pytest.mark.parametrize("chances", ['["25 %", "75 %"]', '[0.25, "75 %"]'])
def test_a_chance_is_a_number_or_a_text(chances):
    assert case_with(discrete(chances)) == case_with(discrete("[0.25, 0.75]"))
    assert uncertain_inputs(case_with(discrete(chances)))[COST].chance_below(3000.0) == 0.25


@pytest.mark.parametrize("chances", ['["25 %", "half"]', '["25 %", "0.75"]', '["25 %", true]', '["25 %", "70 %"]'])
def test_a_chance_that_is_none_is_refused_with_its_line(chances):
    (fault,) = faults_of(discrete(chances)).values()
    assert fault.path.startswith(f"uncertainty.{COST}")
    assert fault.line


def test_a_need_of_a_discrete_input_has_the_chance_of_its_values():
    """By hand: at or below the value needed, just over 2,700 USD/kW, lies the lower value alone."""
    case = case_with(discrete('["25 %", "75 %"]')).with_values({COST: 3000.0})
    cheaper = geoecon.evaluate(case.with_values({COST: 2800.0})).value("npv")
    (need,) = [
        n for n in breakeven(case, target(f"npv >= {cheaper:.6f} USD", "USD"), hold=True).needs if n.path == COST
    ]
    assert need.value == pytest.approx(2800.0, rel=1e-6)
    assert need.chances.at == pytest.approx(0.25, abs=1e-9)
    assert (need.chances.p10, need.chances.p90) == (2700.0, 3600.0)


def test_faults_of_all_nested_tables_are_told_together():
    found = faults_of("""
[uncertainty."plant.net_capacity"]
shape = "uniform"
low = "5 mW"
high = "9 furlong"
[uncertainty."wells.success"]
shape = "triangle"
[uncertainty."wells.depth"]
shape = "normal"
mean = "1150 m"
common = 3
[uncertainty."market.price"]
shape = "uniform"
low = "150 USD/MWh"
high = "140 USD/MWh"
[[uncertainty.correlation]]
paths = ["wells.depth", "wells.deth"]
rank = 0.5
[[uncertainty.correlation]]
paths = ["wells.depth", "wells.success"]
rank = 2
[[decision.criteria]]
target = "npv >= 0 USD"
chance = "150 %"
""")
    assert {
        "uncertainty.plant.net_capacity.low", "uncertainty.plant.net_capacity.high", "uncertainty.wells.success.shape",
        "uncertainty.wells.depth.common", "uncertainty.market.price", "uncertainty.correlation",
        "uncertainty.correlation.1.rank", "decision.criteria.0.chance",
    } <= set(found)  # fmt: skip
    assert "'wells.deth'" in found["uncertainty.correlation"].message


def test_a_fault_of_a_field_hides_none_of_how_sure_it_is():
    text = TEXT.replace('success = "70 %"', 'success = "700 %"')
    assert text != TEXT
    with pytest.raises(CaseError) as refused:
        Case.read(f'{text}\n[uncertainty."market.price"]\nshape = "uniform"\nlow = "1 USD/MWh"\nhigh = "1 USD"\n')
    assert [fault.path for fault in refused.value.faults] == ["wells.success", "uncertainty.market.price.high"]


@pytest.mark.parametrize(
    ("said", "side"),
    [
        ('shape = "triangular"\nlow = "2800 USD/kW"\nmode = "2900 USD/kW"\nhigh = "3000 USD/kW"', "below the least"),
        ('shape = "uniform"\nlow = "2000 USD/kW"\nhigh = "2600 USD/kW"', "above the most"),
        ('shape = "discrete"\nvalues = ["2000 USD/kW", "2600 USD/kW"]\nchances = [0.5, 0.5]', "above the most"),
        ('shape = "normal"\nmean = "3000 USD/kW"\ndeviation = "99 USD/kW"', "below the least"),
        ('shape = "normal"\nmean = "2700 USD/kW"\ndeviation = "99 USD/kW"\nhigh = "2690 USD/kW"', "above the most"),
        ('shape = "lognormal"\nmedian = "2000 USD/kW"\nfactor = 1.1', "above the most"),
        ('shape = "lognormal"\np10 = "3300 USD/kW"\np90 = "3500 USD/kW"', "below the least"),
    ],
)
def test_a_value_outside_its_own_range_gets_a_remark(said, side):
    """The case states 2,700 USD/kW."""
    case = case_with(f'[uncertainty."{COST}"]\n{said}\n')
    (words,) = remarks(case)
    assert words.startswith(f"{COST} is 2700 USD/kW, {side} of it")
    assert words in geoecon.evaluate(case).warnings


@pytest.mark.parametrize(
    "said",
    [
        'shape = "uniform"\nlow = "2700 USD/kW"\nhigh = "2800 USD/kW"',
        'shape = "normal"\nmean = "3000 USD/kW"\ndeviation = "101 USD/kW"',
        'shape = "lognormal"\nmedian = "2000 USD/kW"\nfactor = 1.11',
        'shape = "lognormal"\np10 = "2500 USD/kW"\np90 = "2620 USD/kW"',
    ],
)
def test_a_value_inside_its_own_range_gets_none(said):
    """Three standard deviations either way of a shape without ends: 2,697; 2,000 x 1.11^3 = 2,735; 2,704."""
    assert not list(remarks(case_with(f'[uncertainty."{COST}"]\n{said}\n')))


def test_slim_holes_far_below_the_wells_are_remarked():
    told = {"wells.slim_holes": "1", "wells.slim_hole_depth": "2500 m", "wells.cost_method": "built-up",
            "wells.cost_per_producer": "", "wells.cost_per_injector": ""}  # fmt: skip
    case = Case.read(TEXT, told=told)
    assert any("slim holes go far deeper than the wells" in words for words in remarks(case))


def test_a_construction_that_began_long_ago_is_remarked():
    case = Case.read(TEXT, told={"tax.construction_begins": "1990"})
    assert any("construction begins in 1990, 40 years before operating year 1" in words for words in remarks(case))


def test_a_study_of_many_values_is_spared_remarks():
    case = case_with(f'[uncertainty."{COST}"]\nshape = "uniform"\nlow = "1 USD/kW"\nhigh = "2 USD/kW"\n')
    assert not list(remarks(case.with_values({COST: np.array([1.0, 9.0])})))


@pytest.mark.parametrize("value", [3, None, 4.2, np.array([1.0]), ["4 MW"]])
def test_what_is_no_text_is_refused_as_one(value):
    with pytest.raises(
        CaseError, match=r"takes a text as in a file.*numbers and arrays are for with_values"
    ) as refused:
        case_with("").with_texts({"plant.net_capacity": value})
    assert refused.value.faults[0].path == "plant.net_capacity"


def curve(keys):
    return f'[uncertainty."capital.gathering"]\n{keys}\n'


@pytest.mark.parametrize(
    ("keys", "share"),
    [
        ('shape = "normal"\nmean = "1 MUSD"\ndeviation = "100 kUSD"\nlow = "1.75 MUSD"', "3e-14"),
        ('shape = "normal"\nmean = "1 MUSD"\ndeviation = "1 kUSD"\nlow = "2 MUSD"\nhigh = "3 MUSD"', "0"),
        ('shape = "lognormal"\nmedian = "1 MUSD"\nfactor = 1.01\nlow = "5 MUSD"', "0"),
        ('shape = "normal"\nmean = "1 MUSD"\ndeviation = "1e300 USD"', "0"),
    ],
)
def test_a_curve_of_which_next_to_nothing_is_left_is_refused(keys, share):
    """Share above 7.5 standard deviations, 3.2e-14: `scipy.stats.norm.sf`."""
    (fault,) = faults_of(curve(keys)).values()
    assert f"all of the curve but {share} of it" in fault.message
    assert stats.norm.sf(7.5) == pytest.approx(3.2e-14, rel=0.01)


def test_a_curve_that_is_cut_off_far_out_is_drawn_right():
    """Against `scipy.stats.truncnorm`, 4 standard deviations above the mean."""
    case = case_with(curve('shape = "normal"\nmean = "1 MUSD"\ndeviation = "100 kUSD"\nlow = "1.4 MUSD"'))
    found, theirs = uncertain_inputs(case)["capital.gathering"], stats.truncnorm(4, np.inf, 1e6, 1e5)
    for chance in (0.001, 0.5, 0.999):
        assert found.quantile(chance) == pytest.approx(theirs.ppf(chance), rel=1e-9)


@pytest.mark.parametrize("factor", ["inf", "nan", "1e200"])
def test_a_factor_that_is_none_is_refused(factor):
    (fault,) = faults_of(curve(f'shape = "lognormal"\nmedian = "1 MUSD"\nfactor = {factor}')).values()
    assert fault.path == "uncertainty.capital.gathering.factor"


def pair(one, other, rank):
    return f'[[uncertainty.correlation]]\npaths = ["{one}", "{other}"]\nrank = {rank}\n'


def test_a_correlation_is_stated_once():
    more = pair(COST, "operation.fixed_cost", 0.5) + pair("operation.fixed_cost", COST, -0.5)
    (fault,) = faults_of(more).values()
    assert fault.message == "is stated more than once for operation.fixed_cost and plant.cost_per_kw; keep one"


def test_a_correlation_with_what_is_sure_has_no_effect_and_is_refused():
    with pytest.raises(CaseError, match="price has no part in it") as refused:
        risk(case_with(pair("market.price", "operation.fixed_cost", 0.9)), 10)
    assert refused.value.faults[0].line


def test_a_curve_that_the_field_cuts_off_says_so():
    """`scipy.stats.norm`: 34 % of a normal curve around 2 % with 5 % lie below zero."""
    more = '[uncertainty."operation.forced_outage"]\nshape = "normal"\nmean = "2 %"\ndeviation = "5 %"\n'
    told = uncertain_inputs(case_with(more))["operation.forced_outage"].origin
    below = stats.norm.cdf(0, 2, 5)
    assert told == f"as the case says; {below:.0%} of the curve lie outside what the field may be, and are cut off"
