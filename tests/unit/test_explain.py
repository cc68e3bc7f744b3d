"""Every metric can be explained: its printed arithmetic holds, and it leads down to inputs."""

import ast
import operator
import re
from dataclasses import replace

import numpy as np
import pytest

import geoecon
from geoecon.case.reference import reference
from geoecon.errors import GeoeconError
from geoecon.report.explain import EXPLAINED, NO_LINE, UnknownMetricError, explain, listing
from geoecon.result import METRICS

FIELDS = {field.path for field in reference()}
OPERATIONS = {
    ast.Add: operator.add, ast.Sub: operator.sub, ast.Mult: operator.mul, ast.Div: operator.truediv, ast.Pow: operator.pow,
}  # fmt: skip

RATES = ("irr_project", "irr_equity")
FOUND = (*RATES, "required_price", "lcoe_after_tax_real", "lcoe_after_tax_nominal")

STILL = {"resource.temperature_decline": "0 K/yr", "resource.decline_start_years": "0"}
LAYER = {"resource.well_spacing": "1100 m", "resource.aquifer_thickness": "90 m"}

# What the shipped cases do not have: each bends another formula.
TWISTS = [
    ("sorrel-basin", {"resource.decline_reference_flow": "200 kg/s"}),
    ("sorrel-basin", {**STILL, "resource.temperature_path": "doublet", **LAYER}),
    ("sorrel-basin", {**STILL, "resource.temperature_path": "sweep", **LAYER, "resource.swept_width": "700 m"}),
    ("sorrel-basin", {**STILL, "resource.temperature_path": "fracture", "resource.fracture_area": "4 km2"}),
    (
        "ambry-wells",
        {
            **STILL,
            "resource.temperature_path": "fracture",
            "resource.drawdown_parameter": "2e-6 kg/s/m2",
            "resource.reinjection_temperature": "70 degC",
        },
    ),
    ("ambry-wells", {"project.owner": "public"}),
    ("ambry-wells", {"operation.royalty": "0 %", "tax.losses": "used"}),
    ("ambry-wells", {"market.capacity_price": "90 USD/kW-yr", "timeline.spending_time": "middle"}),
    ("ambry-wells", {"wells.failed_as_injectors": "40 %", "wells.spare_producers": "1", "capital.grant": "2 MUSD"}),
    ("ambry-wells", {"site.export_limit": "2 MW", "plant.performance_factor": "0.9"}),
    ("dunmarrow", {"project.owner": "cooperative", "finance.target_dscr": "1.6"}),
    ("dunmarrow", {"plant.stated_capacity_factor": "90 %", "timeline.decision_year": "2028"}),
    ("kettle-sound", {"market.price": "0 USD/MWh"}),
    ("kettle-sound", {"resource.temperature": "223 degF", "operation.planned_outage": "20 d/yr"}),
    ("pell-crossing", {"finance.debt_share": "0 %", "wells.existing_injectors": "3"}),
    ("sorrel-basin", {"wells.flow_decline": "5 %/yr", "tax.rules": "none", "tax.credit": "none"}),
    ("ambry-wells", {"finance.debt_shape": "sculpted", "finance.grace_years": "2"}),
    ("ambry-wells", {"finance.debt_sizing": "cover", "finance.debt_share": "80 %", "tax.withholding": "10 %"}),
    ("ambry-wells", {"finance.balloon": "40 %", "finance.refinance_years": "5", "finance.refinance_fee": "1 %"}),
    ("ambry-wells", {"finance.lockup_dscr": "1.6", "finance.construction_rate": "9 %/yr"}),
    ("ambry-wells", {"tax.intangible_share": "70 %", "tax.depletion": "percentage", "tax.property_share": "40 %"}),
    ("ambry-wells", {"project.owner": "public", "finance.debt_shape": "sculpted", "market.price_floor": "110 USD/MWh"}),
    ("sorrel-basin", {"wells.producers_per_injector": "0.7", "finance.debt_shape": "equal-principal"}),
    ("dunmarrow", {"project.owner": "public", "finance.debt_share": "5 %", "capital.decommissioning": "3 MUSD"}),
    ("kettle-sound", {"market.term_years": "10", "market.price_after_term": "200 USD/MWh", "operation.royalty": "2 %"}),
    (
        "sorrel-basin",
        {"wells.existing_producers": "1", "wells.cost_per_injector": "2 MUSD", "wells.cost_factor": "1.1"},
    ),
    ("sorrel-basin", {"wells.failed_as_injectors": "60 %", "capital.contingency.plant": "20 %"}),
    (
        "ambry-wells",
        {"wells.success_first": "45 %", "wells.exploration_wells": "2", "wells.failed_as_injectors": "30 %"},
    ),
    (
        "ambry-wells",
        {"wells.success_first": "45 %", "wells.learning_wells": "6", "wells.existing_producers": "1"},
    ),
    (
        "tessel-ridge",
        {"plant.cost_reference_capacity": "5 MW", "plant.cost_exponent": "0.8", "capital.owners_cost": "3 %"},
    ),
    (
        "tessel-ridge",
        {"operation.staff_floor": "900 kUSD/yr", "operation.insurance": "30 kUSD/yr", "operation.land": "1 kUSD/yr"},
    ),
    (
        "sorrel-basin",
        {
            "operation.royalty": "0 %",
            "operation.lease": "federal-us",
            "operation.lease_acres": "1200",
            "operation.community_fund": "0.5 %",
        },
    ),
    (
        "ambry-wells",
        {
            "operation.royalty_after": "3 %",
            "operation.royalty_step_year": "6",
            "project.owner": "public",
            "operation.property_tax_abatement": "50 %",
            "operation.property_tax_abatement_years": "5",
        },
    ),
    (
        "harrow-fen",
        {
            "finance.target_tier": "4",
            "capital.decommissioning": "1 MUSD",
            "capital.decommissioning_bond": "2 %/yr",
            "operation.community_fund": "20 kUSD/yr",
        },
    ),
    (
        "pell-crossing",
        {"finance.allowed_return": "9 %/yr", "operation.royalty_after": "3 %", "operation.royalty_step_year": "9"},
    ),
    ("tessel-ridge", {"finance.discount_rate": "0 %/yr", "market.price": "400 USD/MWh"}),
]


def worked(text):
    """Arithmetic of numbers, + - * / ** and parentheses; anything else is an error."""

    def value(node):
        if isinstance(node, ast.BinOp):
            return OPERATIONS[type(node.op)](value(node.left), value(node.right))
        if isinstance(node, ast.UnaryOp):
            assert isinstance(node.op, ast.USub)
            return -value(node.operand)
        assert isinstance(node, ast.Constant), ast.dump(node)
        return node.value

    return value(ast.parse(text, mode="eval").body)


def evaluated(name, **texts):
    return geoecon.evaluate(geoecon.load_case(geoecon.shipped_case(name), texts or None))


@pytest.fixture(scope="module", params=list(geoecon.shipped_cases()))
def result(request):
    return evaluated(request.param)


@pytest.fixture(scope="module", params=TWISTS, ids=lambda twist: f"{twist[0]} {' '.join(twist[1])}")
def twisted(request):
    name, texts = request.param
    return geoecon.evaluate(geoecon.load_case(geoecon.shipped_case(name), texts))


def test_every_metric_has_an_entry_with_words():
    assert list(EXPLAINED) == list(METRICS)
    for entry in EXPLAINED.values():
        assert entry.words.endswith(".")
        assert len(entry.words) > 20


def put_back(found):
    """A check worked out again from what is printed: nothing is left, measured by the largest number in it."""
    arithmetic, _, said = found.check_line.removeprefix("= ").rpartition(" = ")
    assert said.split()[0] == "0"
    largest = max(abs(float(number)) for number in re.findall(r"[\d.]+", arithmetic))
    return abs(worked(arithmetic)) <= 1e-8 * largest


def checked(result, metric):
    """The explanation of a metric, its arithmetic worked out again from what is printed."""
    found = explain(result, metric)
    assert (found.metric, found.meaning, found.words) == (metric, METRICS[metric].meaning, EXPLAINED[metric].words)
    if result.metrics[metric].codes[0]:
        assert (found.line, found.check_line, found.value, found.terms) == ("", "", "none", ())
        assert found.reason == result.metrics[metric].reason
        return found
    assert not found.reason, found.reason
    assert float(found.value) == pytest.approx(result.value(metric), rel=5.1e-6)
    assert bool(found.check_line) == (metric in FOUND)
    assert not found.check_line or put_back(found)
    if metric in RATES:
        assert not found.line
        return found
    arithmetic, _, said = found.line.removeprefix("= ").rpartition(" = ")
    printed = said.split()[0]
    got = worked(arithmetic)
    assert float(printed) == pytest.approx(got, rel=6e-6, abs=1e-6)
    assert np.format_float_positional(got, 6, fractional=False, trim="-") == np.format_float_positional(
        float(printed), 6, fractional=False, trim="-"
    ) or got == pytest.approx(0, abs=1e-6)
    assert printed == found.value
    assert found.unit == "1" or said.endswith(f" {found.unit}")
    return found


@pytest.mark.parametrize("metric", METRICS)
def test_the_printed_arithmetic_gives_the_printed_value(result, metric):
    checked(result, metric)


@pytest.mark.parametrize("metric", METRICS)
def test_and_does_for_cases_that_bend_the_formulas(twisted, metric):
    checked(twisted, metric)


@pytest.mark.parametrize("metric", METRICS)
def test_terms_are_printed_as_they_stand_in_the_line(result, metric):
    found = explain(result, metric)
    for term in found.terms:
        assert term.label in found.formula + found.check or f" {term.said.split(' -> ')[-1]} " in f" {term.said} "
        assert np.isfinite(term.value)
    for words, line in ((found.formula, found.line), (found.check, found.check_line)):
        assert bool(words) == bool(line)
        assert line.count(" = ") <= 1
        for sign in "*/":
            assert line.count(f" {sign} ") == words.count(f" {sign} ")


@pytest.mark.parametrize("metric", METRICS)
def test_what_a_metric_rests_on_is_a_metric_or_a_field(result, metric):
    found = explain(result, metric)
    for term in found.terms:
        for name in term.rests_on:
            assert name in METRICS or name.partition(": ")[0] in FIELDS, name
    for row in found.inputs:
        assert row in result.assumptions


def below(found):
    for other in found.below:
        yield other
        yield from below(other)


def test_the_walk_ends_and_reaches_inputs(result):
    on = {
        metric: {name for term in explain(result, metric).terms for name in term.rests_on if name in METRICS}
        for metric in METRICS
    }

    def climb(metric, above):
        assert metric not in above, f"{' <- '.join(above)} <- {metric}"
        return {metric}.union(*(climb(name, (*above, metric)) for name in on[metric]))

    for metric in METRICS:
        every = climb(metric, ())
        found = explain(result, metric)
        names = [other.metric for other in below(found)]
        assert len(names) == len(set(names))
        assert {metric, *names} == every
        if found.terms and found.formula != "no such cost is stated":
            assert found.inputs or any(other.inputs for other in below(found)), metric


def test_rates_are_printed_first_and_put_back():
    found = explain(evaluated("dunmarrow"), "irr_equity")
    assert found.terms[0].said == "0.1585008089"
    assert found.check.startswith("value at that rate = value of energy sold + value of debt drawn - ")
    assert found.check_line.endswith(" = 0 USD")


def test_the_required_price_pays_for_what_its_condition_needs():
    taxed = explain(evaluated("ambry-wells"), "required_price")
    labels = [term.label for term in taxed.terms]
    for name in ("operating cost", "tax less credits at this price", "interest", "principal", "debt drawn"):
        assert f"value of {name}" in labels
    assert "value of sales at the price after the term, less royalty" in labels
    assert taxed.check.startswith("value to the owner at this price = price, found by search * discounted energy")
    public = explain(evaluated("kettle-sound"), "required_price")
    assert "in year 1" in public.note
    assert public.formula.startswith("(cover asked * (interest in year 1 + principal in year 1) + operating cost")
    assert public.check.startswith("cash above the cover asked in year 1, at this price = ")


@pytest.mark.parametrize("metric", ["required_price", "lcoe_after_tax_real", "lcoe_after_tax_nominal"])
@pytest.mark.parametrize("name", ["ambry-wells", "kettle-sound", "sorrel-basin"])
def test_a_price_that_is_not_the_one_is_found_out(name, metric):
    """What makes the checks worth their lines: a price or a tax that is a little off explains nothing."""
    result = evaluated(name)
    found, was = result.found_prices[metric], result.metrics[metric]
    other = {**result.metrics, metric: replace(was, values=was.values * 1.00002)}
    assert explain(replace(result, metrics=other), metric).reason == NO_LINE
    more = np.where(result.times > 0, 100.0, 0.0)
    taxed = {**result.found_prices, metric: replace(found, tax=found.tax + more)}
    assert explain(replace(result, found_prices=taxed), metric).reason == NO_LINE


@pytest.mark.parametrize("metric", ["required_price", "lcoe_after_tax_real", "irr_project", "irr_equity"])
def test_a_printed_number_that_is_off_leaves_something_over(metric):
    found = explain(evaluated("ambry-wells"), metric)
    assert put_back(found)
    for term in found.terms:
        spoiled = found.check_line.replace(term.said, f"{float(term.said) * 1.001:.10g}", 1)
        assert (spoiled == found.check_line) == (term.label not in found.check)
        assert spoiled == found.check_line or not put_back(replace(found, check_line=spoiled)), term.label


def test_operating_cost_leads_down_to_counts_of_wells():
    result = evaluated("ambry-wells")
    for metric in ("lcoe_real", "npv", "irr_equity", "required_price", "dscr_min"):
        assert "first_year_operating_cost" in {other.metric for other in below(explain(result, metric))}, metric
    found = explain(result, "first_year_operating_cost")
    assert "well field cost of one well * (producers + injectors)" in found.formula
    assert " + 60000 * (3 + 2) + " in found.line
    assert {"producers", "injectors", "brine_flow", "capital_cost"} <= {other.metric for other in below(found)}
    assert "operation.wellfield_cost" in {row.path for row in found.inputs}


def test_counts_show_what_they_are_rounded_up_from():
    found = explain(evaluated("ambry-wells"), "producers")
    assert found.terms[-1].said == "2.59272 -> 3"
    assert found.line == "= 3 = 3 wells"


def test_a_discount_rate_that_is_worked_out_leads_on_to_the_cost_of_capital():
    assert "wacc" in {other.metric for other in below(explain(evaluated("sorrel-basin"), "npv"))}
    assert "wacc" not in {other.metric for other in below(explain(evaluated("dunmarrow"), "npv"))}


def test_what_is_not_there_is_not_rested_on():
    rows = {row.path for row in explain(evaluated("kettle-sound"), "npv").inputs}
    assert not {path for path in rows if path.startswith("tax.")}
    rows = {row.path for row in explain(evaluated("dunmarrow"), "npv").inputs}
    assert "tax.rate" in rows
    assert "tax.credit_sale_price" not in rows
    rows = {row.path for row in explain(evaluated("ambry-wells"), "npv").inputs}
    assert {"tax.credit_sale_price", "tax.rules: credit_rate", "timeline.first_year"} <= rows
    assert not {"tax.credit_years", "tax.credit_growth", "wells.depth"} & rows
    assert "wells.depth" in {row.path for row in explain(evaluated("sorrel-basin"), "capital_cost").inputs}
    result = evaluated("ambry-wells", **{"tax.credit_rate": "20 %", "tax.credit_use": "own"})
    rows = {row.path for row in explain(result, "npv").inputs}
    assert "tax.credit_rate" in rows
    assert not {"tax.rules: credit_rate", "tax.credit_sale_price"} & rows


def test_what_is_only_rounding_is_left_out():
    assert "weather" not in explain(evaluated("ambry-wells"), "first_year_energy").formula


def test_a_design_that_was_made_for_another_case_is_said():
    case = geoecon.load_case(geoecon.shipped_case("dunmarrow"))
    larger = case.with_texts({"plant.net_capacity": "4 MW"})
    found = explain(geoecon.evaluate(larger, geoecon.size(case)), "net_capacity")
    assert (found.line, found.reason, found.value) == ("", NO_LINE, "3")


def test_without_a_price_there_is_a_reason_and_still_a_required_price():
    text = geoecon.shipped_case("dunmarrow").read_text(encoding="utf-8").replace('price = "130 USD/MWh"', "")
    result = geoecon.evaluate(geoecon.Case.read(text))
    assert "states no price" in explain(result, "npv").reason
    for metric in METRICS:
        checked(result, metric)


def test_an_unknown_metric_names_the_nearest():
    with pytest.raises(UnknownMetricError, match="no metric 'lcoe_reel'; did you mean 'lcoe_real'"):
        explain(evaluated("dunmarrow"), "lcoe_reel")
    with pytest.raises(GeoeconError, match="there are: gross_capacity"):
        explain(evaluated("dunmarrow"), "zzz")


def test_several_scenarios_are_refused():
    case = geoecon.load_case(geoecon.shipped_case("dunmarrow")).with_values({"market.price": np.array([90.0, 130.0])})
    with pytest.raises(ValueError, match="2 scenarios"):
        explain(geoecon.evaluate(case), "npv")


def test_the_listing_leads_on():
    lines = [
        line for _, group in listing(explain(evaluated("dunmarrow"), "capital_cost_per_kw"), "x.toml") for line in group
    ]
    assert "  capital_cost = 12000000 USD  (geoecon explain capital_cost x.toml)" in lines
