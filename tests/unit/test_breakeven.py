"""Break-even values: by hand where a metric is straight, by putting them back, by the engine's own required price."""

import numpy as np
import pytest

import geoecon
from geoecon.case import Case, load_case
from geoecon.errors import CaseError
from geoecon.report.aligned import LEFT, aligned
from geoecon.report.breakeven import columns, first_value, headline, lines, money_of, ranked, rows
from geoecon.report.chances import chances
from geoecon.report.tables import table_file
from geoecon.result import METRICS
from geoecon.studies.breakeven import breakeven, usual_target
from geoecon.studies.decisions import DECISIONS
from geoecon.studies.drawn import order
from geoecon.studies.inputs import inputs
from geoecon.studies.targets import LOWER_IS_BETTER, Target, target
from geoecon.studies.uncertain import uncertain_inputs

CASES = tuple(geoecon.shipped_cases())
PRIVATE = ("ambry-wells", "dunmarrow", "pell-crossing", "sorrel-basin", "tessel-ridge")


def case_of(name, **told):
    return load_case(geoecon.shipped_case(name), told)


def need_of(found, path):
    return next(need for need in found.needs if need.path == path)


def value_of(case, metric, **values):
    return geoecon.evaluate(case.with_values(values) if values else case).value(metric)


@pytest.fixture(scope="module")
def usual():
    """What the owner of each case asks, worked out once."""
    cases = {name: case_of(name) for name in CASES}
    return {name: (case, breakeven(case, usual_target(case))) for name, case in cases.items()}


def test_where_value_is_straight_in_price_two_points_give_the_root():
    """tessel-ridge has neither tax nor debt, so npv is a straight line over the price."""
    case = case_of("tessel-ridge")
    low, high = (value_of(case, "npv", **{"market.price": price}) for price in (80.0, 120.0))
    by_hand = 80.0 - low * 40.0 / (high - low)
    need = need_of(breakeven(case, target("npv >= 0 USD", "USD")), "market.price")
    assert need.value == pytest.approx(by_hand, rel=1e-7)
    assert need.shift == pytest.approx(by_hand / 88.0 - 1, rel=1e-6)
    assert need.way == 1
    assert need.chances is None


@pytest.mark.parametrize("name", PRIVATE)
def test_the_price_that_meets_the_owners_return_is_the_required_price(name):
    case = case_of(name)
    need = need_of(breakeven(case, target("npv_equity >= 0 USD", "USD")), "market.price")
    assert need.value == pytest.approx(value_of(case, "required_price"), rel=1e-6)


@pytest.mark.parametrize("name", CASES)
def test_a_value_put_back_just_meets_the_target(usual, name):
    """Beyond it the target is missed; where nothing jumps it is met to the last digits."""
    case, found = usual[name]
    for need in (need for need in found.needs if need.found):
        step = 3e-7 * max(abs(need.value), abs(need.value - need.input.value))
        away = need.value + need.way * step * (1 if found.met else -1)
        both = geoecon.evaluate(case.with_values({need.path: np.array([need.value, away])}))
        margins = found.target.margin(both.metrics[found.target.metric].values)
        assert margins[0] >= 0, need.path
        assert not margins[1] >= 0, need.path
        if need.path.startswith(("capital.", "operation.", "market.", "plant.cost")):
            assert margins[0] <= 1e-5 * abs(found.target.value), need.path


@pytest.mark.parametrize("name", CASES)
def test_where_nothing_does_it_no_value_of_a_fine_sweep_does(usual, name):
    case, found = usual[name]
    for need in (need for need in found.needs if not need.found):
        grid = np.linspace(need.low, need.high, 101)
        metric = geoecon.evaluate(case.with_values({need.path: grid})).metrics[found.target.metric].values
        met = found.target.met(metric[np.isfinite(metric)])
        assert met.all() if found.met else not met.any(), need.path
        if not found.met and np.isfinite(need.best):
            assert np.nanmax(metric) <= need.best + 0.05 * np.ptp(metric[np.isfinite(metric)]) + 1e-12, need.path


def test_what_the_owner_asks():
    for name in PRIVATE:
        case = case_of(name)
        asked = float(geoecon.evaluate(case).asked["equity_return"][0])
        assert usual_target(case) == Target("irr_equity", asked, ">=")
    assert usual_target(case_of("kettle-sound")) == Target("dscr_min", 1.25, ">=")
    assert usual_target(case_of("kettle-sound", **{"finance.debt_share": "0 %"})) == Target("npv", 0.0, ">=")


def without_price(name):
    text = geoecon.shipped_case(name).read_text(encoding="utf-8")
    return Case.read("\n".join(line for line in text.splitlines() if not line.startswith("price =")))


def test_without_a_price_a_target_is_asked_for():
    case = without_price("tessel-ridge")
    with pytest.raises(CaseError, match="is not stated, and return, cover and value rest on it"):
        usual_target(case)
    found = breakeven(case, target("lcoe_real <= 80 USD/MWh", "USD"))
    assert "market.price" not in [need.path for need in found.needs]
    assert any(need.found for need in found.needs)
    nothing = breakeven(case, target("npv >= 0 USD", "USD"))
    assert not any(need.found for need in nothing.needs)
    assert "the case states no price" in headline(nothing)


def triangle(x, low, mode, high):
    """Chance of being at or below x: the area of a triangle, by hand."""
    if x < mode:
        return (x - low) ** 2 / ((high - low) * (mode - low))
    return 1 - (high - x) ** 2 / ((high - low) * (high - mode))


@pytest.mark.parametrize(
    ("degC", "chance"), [(160.0, 1 - triangle(160, 149, 158, 164)), (157.0, triangle(157, 149, 158, 164))]
)
def test_the_chance_is_that_of_the_triangle_the_case_states(degC, chance):
    case = case_of("sorrel-basin")
    plant = order(case, uncertain_inputs(case))
    energy = plant.evaluate({"resource.temperature": np.array([degC])}).metrics["lifetime_energy"].values[0]
    need = need_of(breakeven(case, Target("lifetime_energy", energy, ">="), hold=True), "resource.temperature")
    assert need.value == pytest.approx(degC, abs=1e-4)
    assert need.way == (1 if degC > 158 else -1)
    assert need.chances.at == pytest.approx(chance, abs=1e-5)
    assert need.chances.now == pytest.approx(triangle(158, 149, 158, 164))
    assert need.shift == pytest.approx(degC - 158, abs=1e-4)


def test_a_target_met_now_says_how_far_it_may_go(usual):
    case, found = usual["ambry-wells"]
    assert found.met
    price = need_of(found, "market.price")
    assert price.way == -1
    assert price.value < 146
    assert value_of(case, "irr_equity", **{"market.price": price.value}) >= 0.12
    told = list(lines(found))
    assert "the target is met: at least 12 %" in told[0]
    assert any("down to 141.2 USD/MWh" in line for line in told)
    likely = [need.chances.at for need in ranked(found) if need.found and need.chances]
    assert likely == sorted(likely, reverse=True)


@pytest.mark.parametrize("name", CASES)
def test_the_chance_is_the_share_of_draws_that_meet_or_lose_it(usual, name):
    """Even quantiles of each input through the engine, all else as it is; kettle-sound is lost in two bands of its flow."""
    case, found = usual[name]
    uncertain = uncertain_inputs(case)
    for need in (need for need in found.needs if need.chances and need.found):
        draws = uncertain[need.path].distribution.quantile((np.arange(400) + 0.5) / 400)
        margins = found.target.margin(
            geoecon.evaluate(case.with_values({need.path: draws})).metrics[found.target.metric].values
        )
        least, most = ((margins < 0).mean(), (~(margins >= 0)).mean()) if found.met else [(margins >= 0).mean()] * 2
        assert least - 0.02 <= need.chances.at <= most + 0.02, need.path


def test_a_loss_that_ends_again_says_where(usual):
    case, found = usual["kettle-sound"]
    need = need_of(found, "wells.flow_per_producer")
    assert need.value < need.until < need.value * 1.2
    again = geoecon.evaluate(case.with_values({need.path: need.until * 1.06})).value("dscr_min")
    assert again >= 1.25
    assert any("lost to about" in line for line in lines(found))


def test_an_impossible_target_names_the_best_that_was_reached():
    case = case_of("tessel-ridge")
    found = breakeven(case, target("net_capacity_factor >= 1", "USD"))
    assert not any(need.found for need in found.needs)
    told = list(lines(found))
    assert "None of 5 inputs can meet it alone" in told[0]
    assert all(need.best < 1 for need in found.needs)


def test_values_that_end_are_said_with_their_reason(short_table):
    found = breakeven(short_table, usual_target(short_table))
    need = need_of(found, "resource.temperature")
    assert [value for value, _ in need.broken] == pytest.approx([115.675, 132.0], abs=1e-3)
    assert all("outside what the plant's map holds" in reason for _, reason in need.broken)
    assert any(line.startswith("No value beyond resource.temperature 132 degC: ") for line in lines(found))


def test_a_held_plant_tells_the_reason_of_the_held_plant():
    case = case_of("sorrel-basin")
    need = need_of(breakeven(case, usual_target(case), hold=True), "resource.temperature")
    assert need.broken
    assert all(reason for _, reason in need.broken)


def test_what_contradicts_the_case_ends_the_search():
    case = case_of("sorrel-basin", **{"wells.vertical_depth": "2700 ft"})
    need = need_of(breakeven(case, usual_target(case), ["wells.depth"]), "wells.depth")
    assert need.low == pytest.approx(2700 * 0.3048, rel=1e-6)
    assert "more than the measured depth" in need.broken[0][1]


def test_inputs_named_in_another_order_are_the_same_in_another_order():
    case, extra = case_of("dunmarrow"), ["finance.debt_share", "money.inflation", "finance.debt_rate"]
    asked = usual_target(case)
    one, other = breakeven(case, asked, extra), breakeven(case, asked, extra[::-1])
    assert [need.path for need in one.needs][-3:] == extra
    assert list(one.needs[-3:]) == list(other.needs[-3:])[::-1]
    assert one.needs[:-3] == other.needs[:-3]
    assert breakeven(case, asked, [extra[1], "market.price", extra[1]]).needs[-1] == one.needs[-2]


@pytest.mark.parametrize(("path", "words"), [("market.pric", "did you mean 'market.price'"),
                                             ("timeline.operating_years", "`geoecon sweep` can")])  # fmt: skip
def test_a_path_that_cannot_be_tried_is_refused(path, words):
    case = case_of("dunmarrow")
    with pytest.raises(CaseError) as error:
        breakeven(case, usual_target(case), [path])
    assert words in str(error.value)


def test_an_input_of_zero_takes_its_size_from_elsewhere():
    case = case_of("tessel-ridge", **{"capital.grant": "0 USD", "operation.land": "0 USD/yr"})
    asked = target("npv >= 0 USD", "USD")
    need = need_of(breakeven(case, asked, ["capital.grant", "market.price_growth"]), "capital.grant")
    assert need.additive
    assert need.value == pytest.approx(-value_of(case, "npv"), rel=0.1)  # the grant comes at the spending, once
    assert value_of(case, "npv", **{"capital.grant": need.value}) == pytest.approx(0, abs=20)
    with pytest.raises(CaseError, match="is 0, which tells no size"):
        breakeven(case, asked, ["operation.land"])


def test_a_held_plant_is_met_by_the_held_plant():
    case = case_of("kettle-sound")
    asked, plant = usual_target(case), order(case, uncertain_inputs(case))
    held = need_of(breakeven(case, asked, hold=True), "resource.temperature")
    afresh = need_of(breakeven(case, asked), "resource.temperature")
    assert held.value != afresh.value
    cover = (
        plant.evaluate({"resource.temperature": np.array([held.value, held.value - 1e-3])}).metrics["dscr_min"].values
    )
    assert asked.met(cover).tolist() == [True, False]


@pytest.mark.parametrize("name", CASES)
def test_rows_and_table_tell_the_same_inputs(usual, name):
    case, found = usual[name]
    listed = rows(found)
    assert sorted(row.path for row in listed) == sorted(need.path for need in found.needs)
    assert {*uncertain_inputs(case), "market.price"} & set(inputs(case)) == {row.path for row in listed}
    table = table_file(columns(found), "csv").decode().splitlines()
    assert [line.split(",")[0] for line in table[1:]] == [row.path for row in listed]
    for need, line in zip(ranked(found), table[1:], strict=True):
        cells = line.split(",")
        assert float(cells[2]) == need.input.value
        assert cells[3] == (str(need.value) if need.found else "")


def test_the_money_of_the_price_and_of_the_figure_is_said():
    nominal = breakeven(case_of("tessel-ridge"), target("lcoe_real <= 95 USD/MWh", "USD"))
    real = breakeven(
        case_of("tessel-ridge", **{"market.price_basis": "real"}), target("lcoe_nominal <= 95 USD/MWh", "USD")
    )
    assert money_of(nominal) == (
        "Money: lcoe_real is in money of 2026; market.price is nominal, in money of operating year 1; costs are in money of "
        "2026."
    )
    assert (
        money_of(real)
        == "Money: lcoe_nominal is nominal; market.price is in money of 2026; costs are in money of 2026."
    )
    assert money_of(nominal) in "\n".join(lines(nominal))
    worth = breakeven(case_of("tessel-ridge"), target("npv >= 0 USD", "USD"))
    assert "USD/MWh nominal, in money of operating year 1" in headline(worth)


@pytest.mark.parametrize("name", CASES)
@pytest.mark.parametrize("metric", METRICS)
def test_the_first_value_of_a_target_is_one_that_can_be_asked(name, metric):
    """It reads back, is never met or missed by rounding, and is what the owner asks where that is known."""
    case = case_of(name)
    result, usual = geoecon.evaluate(case), usual_target(case)
    text = first_value(result, metric, usual)
    sense = "<=" if metric in LOWER_IS_BETTER else ">="
    if not text:
        assert np.isnan(result.value(metric))
        return
    asked = target(f"{metric} {sense} {text}", case.money.currency)
    if metric == usual.metric:
        assert asked.value == pytest.approx(usual.value, rel=1e-11)
    elif metric not in DECISIONS and result.value(metric):
        assert asked.margin(result.value(metric)) <= 1e-9 * abs(result.value(metric))
        assert asked.value == pytest.approx(result.value(metric), rel=1e-2)


def test_a_return_asked_to_the_hundredth_is_not_rounded():
    case = case_of("sorrel-basin", **{"finance.equity_return": "10.256 %/yr"})
    assert first_value(geoecon.evaluate(case), "irr_equity", usual_target(case)) == "10.256 %/yr"


def test_columns_line_up_and_a_last_text_may_run_on():
    shown = list(aligned([("a", "b", "c"), ("aaa", "b", "c"), ("a", "a long text that runs on", "")], others=LEFT))
    assert shown == ["a    b  c", "aaa  b  c", "a    a long text that runs on"]


@pytest.mark.parametrize(
    ("share", "words"),
    [(0, "less than 1 chance in 100"), (0.0099, "less than 1 chance in 100"), (0.01, "about 1 chance in 100"),
     (0.06, "about 6 chances in 100"), (0.1, "about 1 chance in 10"), (0.5, "about 5 chances in 10"),
     (0.95, "about 95 chances in 100"), (0.999, "more than 99 chances in 100"), (1, "more than 99 chances in 100")],
)  # fmt: skip
def test_chances_in_words(share, words):
    assert chances(share) == words


def test_of_cash_that_is_short_no_best_cover_is_told():
    """Five times the cost of wells leaves less short a part of more debt, which is no way to a better cover."""
    found = breakeven(case_of("harrow-fen"), target("dscr_min >= 1.2", "USD"))
    (wells,) = (row for row in rows(found) if row.path == "wells.cost_factor")
    assert wells.needed.endswith("; never above zero")
