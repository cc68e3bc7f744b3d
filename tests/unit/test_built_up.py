"""Wells built up from days of a rig: by hand, laws, units mixed up, slim holes, and what is refused."""

from dataclasses import fields, replace

import numpy as np
import pytest

import geoecon
from geoecon import evaluate
from geoecon.case import Case
from geoecon.case.well_cost import RATES
from geoecon.drilling import cost_per_well, rate, slim_hole_cost, slim_hole_share, well_built_up
from geoecon.errors import CaseError
from geoecon.report.explain.walk import explain, listing
from geoecon.studies.uncertain import uncertain_inputs
from geoecon.tables import table
from geoecon.wells.built_up import DAYS, PARTS, Drilling, built_up, casing_length
from geoecon.wells.drilling import cost_curve, price_level

STATED = 'cost_per_producer = "2.3 MUSD"\ncost_per_injector = "1.9 MUSD"\n'
TEXT = geoecon.shipped_case("ambry-wells").read_text(encoding="utf-8")
ONE = {
    "penetration_m_h": 5.0, "on_bottom": 0.5, "moving_days": 4.0, "casing_days": 2.0, "testing_days": 3.0, "strings": 3.0,
    "shoe_ratio": 0.5, "rig": 40e3, "services": 10e3, "casing": 200.0, "cement": 100.0, "fluids": 250.0, "site": 300e3,
    "wellhead": 100e3, "trouble": 0.1,
}  # fmt: skip
PLAIN = Drilling(**{name: np.array([value]) for name, value in ONE.items()})
DEPTH = np.array([1200.0])


def case(lines='cost_method = "built-up"\n', **told):
    text = TEXT.replace(STATED, lines)
    return Case.read(text, told={path.replace("__", "."): text for path, text in told.items()})


def faults(lines, **told):
    with pytest.raises(CaseError) as error:
        evaluate(case(lines, **told), unsolved="raise")
    return {fault.path: fault.message for fault in error.value.faults}


# --- the formula ----------------------------------------------------------------------------------------------------------


def test_one_well_by_hand():
    """1,200 m at 5 m/h, half the time on bottom: 20 days; 3 strings to 300, 600 and 1,200 m: 2,100 m of casing."""
    one = built_up(DEPTH, PLAIN)
    assert {name: float(days[0]) for name, days in one.days.items()} == pytest.approx(
        {"moving": 4, "drilling": 20, "casing": 6, "testing": 3}
    )
    assert one.total_days[0] == pytest.approx(33)
    assert one.casing_m[0] == pytest.approx(2100)
    assert {name: float(cost[0]) for name, cost in one.parts.items()} == pytest.approx({
        "rig": 1.32e6, "services": 330e3, "casing": 420e3, "wellhead": 100e3, "cement": 210e3, "bits and mud": 300e3,
        "site": 300e3, "trouble": 298e3,
    })  # fmt: skip
    assert one.cost[0] == pytest.approx(1.1 * 2.98e6)
    assert tuple(one.days) == DAYS
    assert tuple(one.parts) == PARTS


def test_one_string_is_as_long_as_the_well_is_deep():
    assert casing_length(DEPTH, np.array([1.0]), np.array([0.4]))[0] == pytest.approx(1200)


@pytest.mark.parametrize("name", [f.name for f in fields(Drilling)])
def test_more_of_anything_is_never_cheaper(name):
    faster = name in {"penetration_m_h", "on_bottom"}
    more = built_up(DEPTH, replace(PLAIN, **{name: getattr(PLAIN, name) * 1.3})).cost
    assert (more < built_up(DEPTH, PLAIN).cost) if faster else (more > built_up(DEPTH, PLAIN).cost)


def test_twice_the_rates_are_twice_the_cost():
    money = ("rig", "services", "casing", "cement", "fluids", "site", "wellhead")
    twice = replace(PLAIN, **{name: 2 * getattr(PLAIN, name) for name in money})
    assert built_up(DEPTH, twice).cost == pytest.approx(2 * built_up(DEPTH, PLAIN).cost)


def test_scenarios_stay_apart():
    depths, speeds = np.linspace(700, 3000, 7), np.linspace(2, 12, 7)
    many = Drilling(**{n: np.full(7, v) for n, v in ONE.items()} | {"penetration_m_h": speeds})
    together = built_up(depths, many).cost
    for n in range(7):
        alone = built_up(depths[n : n + 1], replace(PLAIN, penetration_m_h=speeds[n : n + 1])).cost
        assert alone[0] == together[n]


# --- of a case ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("factor", ["1", "1.25"])
def test_cost_is_the_sum_of_its_parts_times_the_factor(factor):
    known = case(wells__cost_factor=factor)
    one = well_built_up(known, known.wells.depth)
    assert cost_per_well(known)[0] == pytest.approx(sum(one.parts.values()) * float(factor))
    assert cost_per_well(known)[1] == pytest.approx(cost_per_well(known)[0])


def test_deeper_is_never_cheaper():
    depths = np.linspace(100, 7000, 300)
    assert (np.diff(cost_per_well(case().with_values({"wells.depth": depths}))[0]) > 0).all()


def test_units_do_not_matter():
    lines = 'cost_method = "built-up"\n'
    metric = case(lines + 'penetration_rate = "6.096 m/h"\ncasing_cost = "250 USD/m"\nrig_rate = "48 kUSD/d"\n')
    us = case(lines + 'penetration_rate = "480 ft/d"\ncasing_cost = "76.2 USD/ft"\nrig_rate = "48,000 USD/d"\n')
    assert cost_per_well(us)[0] == pytest.approx(cost_per_well(metric)[0], rel=1e-12)
    assert rate(us, "penetration_rate")[0] == pytest.approx(6.096)


def test_usual_rates_are_in_the_money_of_the_price_year():
    moved = price_level(2024, 2026, np.array([0.02]))[0]
    for r in table("drilling_rates"):
        if r["unit"] in {"kUSD/d", "kUSD"}:
            assert rate(case(), r["rate"])[0] == pytest.approx(float(r["value"]) * 1e3 * moved)
    assert rate(case(), "penetration_rate")[0] == 5.5


def test_rates_may_be_uncertain():
    lines = 'cost_method = "built-up"\nrig_rate = "50 kUSD/d"\n'
    known = case(lines).with_values({"wells.rig_rate": np.array([30e3, 50e3, 70e3])})
    cost = evaluate(known).metrics["capital_cost"].values
    assert cost.shape == (3,)
    assert (np.diff(cost) > 0).all()


@pytest.mark.parametrize("name", RATES)
def test_every_rate_moves_the_cost(name):
    """1,150 m with the usual rates, then with one of them a third higher: each is read, none is another's."""
    usual = cost_per_well(case())[0][0]
    more = {"wells.casing_strings": 4} if name == "casing_strings" else {f"wells.{name}": rate(case(), name) * 4 / 3}
    moved = cost_per_well(case().with_values(more))[0][0]
    assert (moved < usual) if name in {"penetration_rate", "on_bottom"} else (moved > usual)


def test_a_stated_slim_hole_is_as_unsure_as_its_class_says():
    known = case(STATED + 'slim_holes = 2\nslim_hole_cost = "900 kUSD"\n')
    assert "estimate class 4" in uncertain_inputs(known)["wells.slim_hole_cost"].origin
    assert "wells.slim_hole_cost" not in uncertain_inputs(case())


def test_what_was_taken_stands_among_assumptions():
    rows = {row.path: row for row in evaluate(case()).assumptions}
    for r in table("drilling_rates"):
        if r["rate"] != "shoe_ratio":
            assert rows[f"wells.{r['rate']}"].evidence == "recalled"
    assert rows["wells.casing_strings"].value == "3"
    parts = [float(rows[f"wells.cost_method: {name}"].value) for name in PARTS]
    assert float(rows["wells.cost_method: one well"].value) == pytest.approx(sum(parts))
    assert float(rows["wells.cost_method: days of drilling"].value) == pytest.approx(1150 / (5.5 * 0.6 * 24))
    stated = {row.path: row for row in evaluate(case('cost_method = "built-up"\non_bottom = "50 %"\n')).assumptions}
    assert stated["wells.on_bottom"].evidence == "stated"


def test_explanation_shows_days_and_parts_and_adds_up():
    told = "\n".join(line for _, group in listing(explain(evaluate(case()), "capital_cost"), "X") for line in group)
    assert "one well" in told
    assert all(f"wells.cost_method: {name}" in told for name in (*PARTS, *(f"days of {name}" for name in DAYS)))
    assert "wells.depth = 1150 m" in told
    assert explain(evaluate(case()), "capital_cost").line, "the arithmetic gives the value"


def test_trouble_that_is_counted_twice_is_told():
    assert any("trouble in the hole" in words for words in evaluate(case()).warnings)


# --- slim holes -----------------------------------------------------------------------------------------------------------

SLIM = 'cost_method = "built-up"\nslim_holes = 2\n'


def test_a_slim_hole_costs_half_a_well_of_its_depth():
    """40 to 60 % saved (J. T. Finger, Sandia; seen): the middle."""
    assert slim_hole_share() == 0.5
    known = case(SLIM)
    assert slim_hole_cost(known) == pytest.approx(cost_per_well(known)[0] / 2)
    shallow = case(SLIM + 'slim_hole_depth = "900 m"\n')
    assert slim_hole_cost(shallow) == pytest.approx(well_built_up(shallow, np.array([900.0])).cost / 2)
    curve = case('cost_method = "curve"\ncost_curve = "vertical-large"\nslim_holes = 1\nslim_hole_depth = "3000 ft"\n')
    level = price_level(2015, 2026, np.array([0.02]))
    assert slim_hole_cost(curve) == pytest.approx(cost_curve("vertical-large").cost(np.array([914.4])) * level / 2)
    stated = case(STATED + "slim_holes = 3\n")
    assert slim_hole_cost(stated) == pytest.approx(1.15e6)


def test_slim_holes_are_capital_of_their_own_and_never_producers():
    without, with_holes = (
        evaluate(case(STATED)),
        evaluate(case(STATED + 'slim_holes = 2\nslim_hole_cost = "900 kUSD"\n')),
    )
    added = 2 * 0.9e6 * 1.12  # contingency of all but wells
    assert with_holes.capital_accounts["slim_holes"][0] == pytest.approx(added)
    assert "slim_holes" not in without.capital_accounts
    for key in ("producers", "injectors", "wells_drilled", "first_year_energy"):
        assert with_holes.value(key) == without.value(key)
    assert with_holes.value("capital_at_risk") - without.value("capital_at_risk") == pytest.approx(added)
    assert with_holes.value("capital_cost") - without.value("capital_cost") == pytest.approx(
        added * 1.05 * 1.0, rel=0.07
    )
    for key in ("capital_cost", "capital_at_risk"):
        assert explain(with_holes, key).line, "the arithmetic gives the value"


def test_money_at_risk_has_contingency_of_wells_and_ends_with_a_producer_that_exists():
    without, with_some = (
        evaluate(case(STATED, capital__contingency=f'{{ all = "12 %", wells = "{share}" }}'))
        for share in ("0 %", "20 %")
    )
    early = without.capital_accounts["exploration"][0] + without.capital_accounts.get("permits", np.zeros(1))[0]
    first = without.value("capital_at_risk") - early
    assert first > 0
    assert with_some.value("capital_at_risk") == pytest.approx(early + 1.2 * first)
    proven = evaluate(case(STATED + "existing_producers = 1\n"))
    assert proven.value("capital_at_risk") == pytest.approx(early)
    for result in (with_some, proven):
        assert explain(result, "capital_at_risk").line, "the arithmetic gives the value"


def test_slim_holes_are_taxed_as_exploration():
    """The same money as slim holes or as exploration: the same project."""
    holes = evaluate(case(STATED + 'slim_holes = 1\nslim_hole_cost = "900 kUSD"\n'))
    surveys = evaluate(case(STATED, capital__exploration="2.1 MUSD"))
    for key in ("npv", "irr_equity", "lcoe_real", "required_price", "capital_at_risk"):
        assert holes.value(key) == pytest.approx(surveys.value(key), rel=1e-9)


# --- what is refused ------------------------------------------------------------------------------------------------------

CURVE = 'cost_method = "curve"\ncost_curve = "california-2004"\n'
REFUSED = {
    "a rate without its method": (STATED + 'rig_rate = "50 kUSD/d"\n', {}, "wells.rig_rate", 'say cost_method = "built-up"'),
    "strings without their method": (CURVE + "casing_strings = 4\n", {}, "wells.casing_strings", "is not used with"),
    "a curve without its method": (
        STATED + 'cost_curve = "vertical-small"\n', {}, "wells.cost_curve", 'say cost_method = "curve"',
    ),
    "a stated cost beside a curve": (
        STATED + CURVE, {}, "wells.cost_per_producer", 'say cost_method = "stated"',
    ),
    "a bit that does not go down": (
        'cost_method = "built-up"\npenetration_rate = "0 m/h"\n', {}, "wells.penetration_rate",
        "0 m/h is outside 0.1 m/h to 200 m/h",
    ),
    "no string": ('cost_method = "built-up"\ncasing_strings = 0\n', {}, "wells.casing_strings", "0 is outside 1 to 10"),
    "a length for a rate": (
        'cost_method = "built-up"\npenetration_rate = "5 m"\n', {}, "wells.penetration_rate",
        "write it in m/h, ft/h, m/d, ft/d",
    ),
    "a slim hole that nothing costs": (
        STATED + 'slim_holes = 1\nslim_hole_depth = "700 m"\n', {}, "wells.slim_hole_cost", "not for slim_hole_depth",
    ),
    "a slim hole beside a well that nothing costs": (
        'slim_holes = 1\n', {}, "wells.slim_hole_cost", "no full-size well is costed",
    ),
    "a cost of none": (STATED + 'slim_hole_cost = "1 MUSD"\n', {}, "wells.slim_hole_cost", "has no part without slim_holes"),
    "a cost and a depth": (
        CURVE + 'slim_holes = 1\nslim_hole_cost = "1 MUSD"\nslim_hole_depth = "800 m"\n', {}, "wells.slim_hole_depth",
        "stands beside slim_hole_cost",
    ),
    "a slim hole beyond its curve": (
        CURVE + 'slim_holes = 1\nslim_hole_depth = "400 m"\n', {}, "wells.slim_hole_depth",
        "400 m is outside the depths of curve 'california-2004', 500 to 3,400 m",
    ),
    "below a table": (
        'cost_method = "curve"\ncost_curve = "predicted-2006"\n', {}, "wells.depth",
        "1,150 m is outside the depths of curve 'predicted-2006', 1,500 to 10,000 m",
    ),
    "where the fit turns negative": (
        'cost_method = "curve"\ncost_curve = "historical-2014"\n', {"wells__depth": "260 m"}, "wells.depth",
        "260 m is outside the depths of curve 'historical-2014', 1,000 to 6,000 m",
    ),
}  # fmt: skip


@pytest.mark.parametrize("what", REFUSED)
def test_refused_with_one_clear_message(what):
    lines, told, path, said = REFUSED[what]
    assert said in faults(lines, **told)[path]


EUROS = TEXT.replace("USD", "EUR").replace(STATED.replace("USD", "EUR"), 'cost_method = "built-up"\n')
EUROS = EUROS.replace('rules = "us-2026"', 'rules = "plain"\nrate = "25 %"').replace(
    'credit = "investment"\ncredit_use = "sold"\nconstruction_begins = 2028\n', ""
)


def test_usual_rates_are_in_dollars_and_no_exchange_rate_is_made_up():
    with pytest.raises(CaseError) as error:
        Case.read(EUROS)
    assert [fault.path for fault in error.value.faults] == ["wells.cost_method"]
    assert "state rig_rate, services_rate, casing_cost, cement_cost, fluids_cost, site_cost, wellhead_cost" in str(
        error.value
    )


def test_own_rates_make_a_well_in_any_money():
    rates = {"rig_rate": "45 kEUR/d", "services_rate": "14 kEUR/d", "casing_cost": "210 EUR/m", "cement_cost": "110 EUR/m",
             "fluids_cost": "250 EUR/m", "site_cost": "280 kEUR", "wellhead_cost": "140 kEUR"}  # fmt: skip
    lines = "".join(f'{name} = "{text}"\n' for name, text in rates.items())
    known = Case.read(EUROS.replace('cost_method = "built-up"\n', f'cost_method = "built-up"\n{lines}'))
    assert 2e6 < cost_per_well(known)[0][0] < 5e6
