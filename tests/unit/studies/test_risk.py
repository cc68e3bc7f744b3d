"""Risk: the same pass in every draw, its chances, and what holds however it is worked out."""

import pickle
from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

import geoecon
from geoecon.arrays import CHUNK
from geoecon.audit import checks
from geoecon.case import Case, load_case
from geoecon.errors import CaseError
from geoecon.finance.reasons import Reason
from geoecon.report.decision import criteria
from geoecon.report.risk import chances, verdict
from geoecon.result import METRICS
from geoecon.studies import working
from geoecon.studies.drawn import order
from geoecon.studies.draws import draw
from geoecon.studies.events import CASH, COVER, LOSS, RETURN, TARGET, happenings
from geoecon.studies.gates import decide
from geoecon.studies.risk import NEEDED, QUANTILES, risk, varies
from geoecon.studies.spread import spread
from geoecon.studies.uncertain import uncertain_inputs
from geoecon.studies.working import Job, work

SMALL = """
[project]
name = "Small"
estimate_class = 1

[money]
currency = "USD"
price_year = 2030

[timeline]
first_year = 2030
build_years = 1
operating_years = 10

[plant]
kind = "stated"
net_capacity = "1 MW"
stated_capacity_factor = 0.9
cost_per_kw = "4000 USD/kW"

[operation]
fixed_cost = "200 kUSD/yr"

[finance]
discount_rate = "8 %/yr"

[uncertainty."plant.cost_per_kw"]
shape = "triangular"
low = "3000 USD/kW"
mode = "4000 USD/kW"
high = "6000 USD/kW"

[uncertainty."operation.fixed_cost"]
shape = "uniform"
low = "150 kUSD/yr"
high = "300 kUSD/yr"
"""
COST = "plant.cost_per_kw"


def case_of(name, **told):
    return load_case(geoecon.shipped_case(name), told)


def small(more=""):
    return Case.read(SMALL.replace("stated_capacity_factor = 0.9", 'stated_capacity_factor = "90 %"') + more, "small")


def of(found, key):
    return next(event for event in found.events if event.key == key)


def same(one, other):
    """Two studies are equal to the last bit."""
    for key, metric in one.metrics.items():
        assert np.array_equal(metric.values, other.metrics[key].values, equal_nan=True), key
        assert np.array_equal(metric.codes, other.metrics[key].codes), key
    for event, again in zip(one.events, other.events, strict=True):
        assert (event.key, event.reason) == (again.key, again.reason)
        assert np.array_equal(event.happens, again.happens)
    for name, fan in one.fans.items():
        assert np.array_equal(fan.quantiles, other.fans[name].quantiles)
    assert one.faults == other.faults


@pytest.fixture(scope="module")
def sorrel():
    return risk(case_of("sorrel-basin"), 1000)


@pytest.mark.parametrize("name", ["pell-crossing", "dunmarrow"])
def test_any_number_of_workers_gives_the_same_bits(name):
    case = case_of(name)
    same(risk(case, 2 * CHUNK + 300, seed=7), risk(case, 2 * CHUNK + 300, seed=7, workers=2))


def test_parts_may_come_in_any_order(monkeypatch):
    """The words of a fault, too, are those of the first draw that has it: each part tells its own figures in them."""
    case, jobs = case_of("pell-crossing"), working._jobs
    as_given = risk(case, 2 * CHUNK + 300, seed=7)
    monkeypatch.setattr(working, "_jobs", lambda *all_: reversed(list(jobs(*all_))))
    same(as_given, risk(case, 2 * CHUNK + 300, seed=7))


def test_a_case_and_its_order_go_to_another_process_whole():
    case = case_of("pell-crossing", **{"wells.success": "60 %"})
    again = pickle.loads(pickle.dumps(case))
    assert (again, again.digest, again.told, again.scenarios) == (case, case.digest, case.told, 1)
    ordered = order(case, uncertain_inputs(case))
    assert pickle.loads(pickle.dumps(ordered)) == ordered


def test_another_seed_gives_other_draws_and_the_same_base(sorrel):
    other = risk(case_of("sorrel-basin"), 1000, seed=2)
    assert not np.array_equal(other.values[COST], sorrel.values[COST])
    assert other.base.value("npv") == sorrel.base.value("npv")


@pytest.mark.parametrize("name", geoecon.shipped_cases())
def test_the_base_is_the_plain_pass(name):
    result = geoecon.evaluate(case_of(name))
    found = risk(case_of(name), 20)
    for key, metric in result.metrics.items():
        assert np.array_equal(found.base.metrics[key].values, metric.values, equal_nan=True)


def test_every_draw_is_a_pass_of_its_own(sorrel):
    """Some draws done one by one, wells that fail drawn by the same chance."""
    case = case_of("sorrel-basin")
    uncertain = uncertain_inputs(case)
    drawn = draw(uncertain, 1000, 1, wells=2)
    ordered = order(case, uncertain)
    for n in (0, 17, 999):
        here = slice(n, n + 1)
        alone = ordered.evaluate({path: values[here] for path, values in drawn.values.items()}, drawn.drilling[here])
        for key, metric in alone.metrics.items():
            assert np.array_equal(metric.values[0], sorrel.metrics[key].values[n], equal_nan=True), key
        for event in sorrel.events:
            assert event.happens[n] == happenings(alone)[event.key][0][0]


def test_draws_in_another_order_give_the_results_in_that_order(sorrel):
    case = case_of("sorrel-basin")
    uncertain = uncertain_inputs(case)
    drawn, mixed = draw(uncertain, 500, 1, wells=2), np.random.default_rng(3).permutation(500)
    ordered = order(case, uncertain)
    one = ordered.evaluate(drawn.values, drawn.drilling)
    other = ordered.evaluate({path: v[mixed] for path, v in drawn.values.items()}, drawn.drilling[mixed])
    for key, metric in one.metrics.items():
        assert np.array_equal(metric.values[mixed], other.metrics[key].values, equal_nan=True), key


def test_another_unsure_input_leaves_the_draws_of_the_others():
    more = '\n[uncertainty."finance.discount_rate"]\nshape = "uniform"\nlow = "7 %/yr"\nhigh = "9 %/yr"\n'
    one, other = risk(small(), 300), risk(small(more), 300)
    assert set(other.values) == {*one.values, "finance.discount_rate"}
    for path, values in one.values.items():
        assert np.array_equal(values, other.values[path])


def test_a_small_case_by_hand():
    """Levelized cost over draws written out: (cost x 1000 kW + sum of running cost / 1.08^t) / sum of energy / 1.08^t."""
    found = risk(small(), 2000, seed=5)
    annuity = sum(1.08**-t for t in range(1, 11))
    capital = found.values[COST] * 1000
    energy = 1.0 * 8760 * 0.9
    by_hand = (capital + found.values["operation.fixed_cost"] * annuity) / (energy * annuity)
    assert found.metrics["lcoe_real"].values == pytest.approx(by_hand, rel=1e-12)
    own = spread("lcoe_real", found.metrics["lcoe_real"])
    assert own.at_most
    assert own.reached == pytest.approx(np.quantile(by_hand, [0.9, 0.5, 0.1]), rel=1e-12)


@pytest.mark.parametrize("sampler", ["latin", "plain", "sobol"])
def test_a_triangle_through_an_affine_case_keeps_its_quantiles(sampler):
    """Capital is 1000 kW times the cost per kW: its quantiles are those of the triangle, in closed form."""
    found = risk(small(), 4096, seed=11, sampler=sampler)
    own = spread("capital_cost", found.metrics["capital_cost"])
    low, mode, high = 3e6, 4e6, 6e6
    exact = np.array([
        high - np.sqrt(0.1 * (high - low) * (high - mode)),
        high - np.sqrt(0.5 * (high - low) * (high - mode)),
        low + np.sqrt(0.1 * (high - low) * (mode - low)),
    ])  # fmt: skip
    assert (np.abs(own.reached - exact) <= 4 * own.error).all()
    assert own.reached == pytest.approx(exact, rel=0.02)


def test_wells_drilled_follow_the_negative_binomial_distribution():
    """scipy.stats.nbinom counts the failures before so many successes; 2 producers and 2 injectors are needed, at 70 %."""
    found = risk(case_of("sorrel-basin"), 4000)
    needed = found.base.value("producers") + found.base.value("injectors")
    drilled = found.metrics["wells_drilled"].values
    assert np.allclose(drilled, np.round(drilled), atol=1e-9)
    for count in range(int(needed), int(needed) + 6):
        exact = stats.nbinom.cdf(count - needed, needed, 0.7)
        share = float((drilled <= count + 1e-6).mean())
        assert share == pytest.approx(exact, abs=4 * np.sqrt(exact * (1 - exact) / 4000) + 1e-3)


def test_events_are_what_they_say(sorrel):
    metrics = sorrel.metrics
    assert np.array_equal(of(sorrel, LOSS).happens, metrics["npv"].values < 0)
    assert np.array_equal(of(sorrel, RETURN).happens, metrics["npv_equity"].values < 0)
    assert np.array_equal(of(sorrel, COVER).happens, metrics["dscr_min"].values < 1)
    assert np.array_equal(of(sorrel, TARGET).happens, metrics["dscr_min"].values < 1.3)
    loss = of(sorrel, LOSS)
    assert loss.chance == (metrics["npv"].values < 0).mean()
    assert loss.error == np.sqrt(loss.chance * (1 - loss.chance) / 1000)


@pytest.mark.parametrize("name", ["kettle-sound", "ambry-wells"])
def test_cash_is_counted_from_operating_year_1(name):
    """Year by year in a plain loop."""
    case = case_of(name)
    uncertain = uncertain_inputs(case)
    drawn = draw(uncertain, 200, 1, wells=2)
    result = order(case, uncertain).evaluate(drawn.values, drawn.drilling)
    found = happenings(result)
    flows = result.annual["cash_flow_equity"]
    for n in range(200):
        total, broke, in_want = 0.0, False, False
        for row in range(result.build_years, len(flows)):
            total += flows[row, n]
            broke, in_want = broke or total < 0, in_want or flows[row, n] < 0
        assert found[CASH][0][n] == broke
        if case.project.owner == "public":
            assert found[RETURN][0][n] == in_want


def test_an_event_that_cannot_exist_says_why():
    found = risk(case_of("tessel-ridge"), 50)
    assert of(found, COVER).reason == "the case has no debt (finance.debt_share)"
    assert of(found, LOSS).reason == ""
    without = risk(small(), 50)
    assert {event.key: event.reason for event in without.events}[LOSS].startswith("the case states no price")
    assert all(event.reason for event in without.events)


def test_what_cannot_be_worked_out_is_counted_with_its_reason_and_is_bad_everywhere():
    found = risk(case_of("pell-crossing"), 1000)
    lost = int(found.failed.sum())
    assert 0 < lost < 1000
    assert sum(count for count, _, _ in found.faults) == lost
    assert found.faults[0][1] == "plant.performance"
    for event in found.events:
        assert event.happens[found.failed].all()
    assert np.isnan(found.metrics["npv"].values[found.failed]).all()
    assert found.fans["delivered_energy"].draws == 1000 - lost


def test_values_that_the_case_itself_refuses_are_found_and_the_rest_is_kept():
    """A gross capacity below the net one is refused by the case; half of the draws state one."""
    more = '\n[uncertainty."plant.gross_capacity"]\nshape = "uniform"\nlow = "0.9 MW"\nhigh = "1.1 MW"\n'
    text = SMALL.replace("stated_capacity_factor = 0.9", 'stated_capacity_factor = "90 %"\ngross_capacity = "1 MW"')
    found = risk(Case.read(text + more, "small"), 200)
    assert found.failed.sum() == 100
    assert np.array_equal(found.failed, found.values["plant.gross_capacity"] < 1000)
    assert found.faults == ((100, "plant.gross_capacity", found.faults[0][2]),)
    assert "below net_capacity" in found.faults[0][2]
    assert np.isfinite(found.metrics["lcoe_real"].values[~found.failed]).all()


def test_all_failing_is_an_answer_too():
    text = geoecon.shipped_case("sorrel-basin").read_text(encoding="utf-8")
    for warm, cold in (("158", "22"), ("149", "21"), ("164", "23")):
        text = text.replace(f'"{warm} degC"', f'"{cold} degC"')
    found = risk(Case.read(text, "cold"), 60)
    assert found.failed.all()
    assert found.faults[0][:2] == (60, "resource.temperature")
    assert found.fans == {}
    assert spread("npv", found.metrics["npv"]).reason


@pytest.mark.parametrize("workers", [1, 2])
def test_stopping_keeps_finished_parts(workers):
    case, seen = case_of("dunmarrow"), []

    def progress(done, wanted):
        seen.append((done, wanted))
        return len(seen) < 2

    found = risk(case, 5 * CHUNK, workers=workers, progress=progress)
    assert found.draws == 2 * CHUNK
    assert found.stopped == f"stopped after {2 * CHUNK:,} of {5 * CHUNK:,} draws"
    assert seen[-1] == (2 * CHUNK, 5 * CHUNK)
    whole = risk(case, 5 * CHUNK)
    kept = np.isin(whole.values[COST], found.values[COST])
    assert kept.sum() == 2 * CHUNK
    assert np.array_equal(found.metrics["npv"].values, whole.metrics["npv"].values[kept])
    assert whole.stopped == ""


def test_an_interrupt_keeps_what_is_done_and_is_one_where_nothing_is():
    def interrupt(done, wanted):
        raise KeyboardInterrupt

    found = risk(case_of("dunmarrow"), 3 * CHUNK, progress=interrupt)
    assert found.draws == CHUNK


def test_fans_are_quantiles_of_the_years(sorrel):
    case = case_of("sorrel-basin")
    uncertain = uncertain_inputs(case)
    drawn = draw(uncertain, 1000, 1, wells=2)
    annual = order(case, uncertain).evaluate(drawn.values, drawn.drilling).annual
    operating = annual["year"][:, 0] > 0
    energy = sorrel.fans["delivered_energy"]
    assert np.array_equal(energy.years, annual["year"][operating, 0])
    assert np.array_equal(energy.quantiles, np.quantile(annual["delivered_energy"][operating], QUANTILES, axis=1).T)
    total = np.cumsum(annual["cash_flow_equity"], axis=0)
    assert sorrel.fans["cash_flow_equity"].quantiles == pytest.approx(np.quantile(total, QUANTILES, axis=1).T)
    assert len(sorrel.fans["dscr"].years) == 18


def test_resize_sizes_every_draw():
    held, sized = (risk(case_of("sorrel-basin"), 300, resize=resize) for resize in (False, True))
    assert len(set(held.metrics["producers"].values)) == 1
    assert len(set(sized.metrics["producers"].values)) > 1


def test_a_part_does_not_depend_on_where_it_is_cut():
    case = case_of("kettle-sound")
    uncertain = uncertain_inputs(case)
    drawn = draw(uncertain, 60, 1, wells=2)
    job = Job(order(case, uncertain), tuple(METRICS), drawn.values, drawn.drilling, 0, True)
    whole, halves = work(job), [*work(job.cut(0, 25)), *work(job.cut(25, 60))]
    joined = np.concatenate([part.metrics["npv"][0] for part in halves])
    assert np.array_equal(whole[0].metrics["npv"][0], joined, equal_nan=True)
    assert [(part.start, part.stop) for part in halves] == [(0, 25), (25, 60)]


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ({"draws": 10**9}, "1,000,000,000 is outside 1 to 2,000,000"),
        ({"draws": 0}, "0 is outside 1 to 2,000,000"),
        ({"draws": 10.5}, "10.5 is not a whole number"),
        ({"seed": 1.5}, "1.5 is not a whole number"),
        ({"seed": True}, "True is not a whole number"),
        ({"seed": -1}, "-1 is below zero"),
        ({"sampler": "dice"}, "'dice' is not one of: latin, sobol, plain"),
        ({"workers": 0}, "0 is outside 1 to 64"),
        ({"workers": 1000}, "1,000 is outside 1 to 64"),
    ],
)
def test_arguments_that_cannot_be_are_refused(arguments, words):
    with pytest.raises(CaseError, match=words):
        risk(small(), **arguments)


def test_nothing_unsure_says_how_to_declare():
    text = SMALL.split("[uncertainty")[0].replace("stated_capacity_factor = 0.9", 'stated_capacity_factor = "90 %"')
    for line in ('cost_per_kw = "4000 USD/kW"', 'fixed_cost = "200 kUSD/yr"'):
        text = text.replace(line, "")
    words = r'nothing in this case is unsure; say how sure a number is, as in \[uncertainty\."plant.cost_per_kw"\]'
    with pytest.raises(CaseError, match=words):
        risk(Case.read(text, "sure"), 10)


def test_moved_holds_wells_where_they_vary(sorrel):
    assert set(sorrel.moved) == {*sorrel.values, "wells_drilled"}
    assert set(risk(case_of("dunmarrow"), 30).moved) == set(uncertain_inputs(case_of("dunmarrow")))
    flat = replace(sorrel.metrics["wells_drilled"], values=np.full(1000, 5.0))
    assert "wells_drilled" not in replace(sorrel, metrics={**sorrel.metrics, "wells_drilled": flat}).moved


def test_figures_that_are_kept_are_those_of_the_whole_study():
    case = case_of("ambry-wells")
    whole, few = risk(case, 300), risk(case, 300, keep=["irr_equity"])
    assert set(few.metrics) == {*NEEDED, "irr_equity"}
    for key, metric in few.metrics.items():
        assert np.array_equal(metric.values, whole.metrics[key].values, equal_nan=True), key
        assert np.array_equal(metric.codes, whole.metrics[key].codes), key
    assert [event.chance for event in few.events] == [event.chance for event in whole.events]


def test_figures_that_nothing_moves_are_named_and_others_can_be_asked():
    text = SMALL.split("[uncertainty")[0].replace("stated_capacity_factor = 0.9", 'stated_capacity_factor = "90 %"')
    for line in ('cost_per_kw = "4000 USD/kW"', 'fixed_cost = "200 kUSD/yr"'):
        text = text.replace(line, "")
    text += """
[site]
grid_emission_factor = "400 g/kWh"
[uncertainty."site.grid_emission_factor"]
shape = "uniform"
low = "300 g/kWh"
high = "500 g/kWh"
"""
    case = Case.read(text, "moved")
    with pytest.raises(CaseError, match=r"moves none of the figures asked for \(net_capacity, .*npv"):
        risk(case, 20, keep=["npv"])
    assert varies(risk(case, 20, keep=["co2_avoided"]).metrics["co2_avoided"].values)


@pytest.mark.parametrize("grant", ["8 MUSD", "13 MUSD", "22 MUSD"])
def test_a_larger_grant_fails_no_draw_and_lowers_the_chance_of_loss(grant):
    """Grant and debt above all uses are scaled down to them, draw by draw."""
    less, more = (risk(case_of("kettle-sound", **{"capital.grant": one}), 2000) for one in ("6 MUSD", grant))
    assert not more.failed.any()
    assert not more.faults
    assert more.overpaid > 0
    for key in (LOSS, COVER):
        assert of(more, key).chance <= of(less, key).chance
    for key in ("debt", "equity"):
        assert (more.metrics[key].values <= less.metrics[key].values + 1e-3).all()
        assert (more.metrics[key].values >= 0).all()


def test_what_is_scaled_down_is_told():
    found = risk(case_of("kettle-sound", **{"capital.grant": "13 MUSD"}), 500)
    assert any("scaled down" in note for note in chances(found).notes)
    assert any("scaled down" in note for note in criteria(decide(found.base.case, found)).notes)


@pytest.mark.parametrize("shape", ["level", "sculpted"])
@pytest.mark.parametrize("grant", ["13 MUSD", "18 MUSD", "22 MUSD"])
def test_grant_and_debt_of_a_single_case_are_no_more_than_all_uses(grant, shape):
    told = {"capital.grant": grant, "finance.debt_share": "60 %", "finance.debt_shape": shape}
    result = geoecon.evaluate(case_of("kettle-sound", **told))
    assert result.value("equity") == 0
    assert result.value("npv_equity") > 0
    assert result.metrics["irr_equity"].codes[0] == Reason.NO_EQUITY
    assert sum(one.startswith("grant and debt as stated are more than all uses") for one in result.warnings) == 1
    assert all(check.holds for check in checks(result))


def test_a_draw_of_a_field_that_cools_beyond_the_map_says_so(tmp_path):
    """What is known only after the design, and what has nothing to do with grant or debt."""
    shipped = geoecon.shipped_case("pell-crossing")
    stated = shipped.read_text(encoding="utf-8").replace('temperature_decline = "0.15 K/yr"', "")
    path = '[resource]\ntemperature_path = "doublet"\nwell_spacing = "450 m"\naquifer_thickness = "60 m"'
    (tmp_path / "case.toml").write_text(stated.replace("[resource]", path), encoding="utf-8")
    (tmp_path / "pell-crossing.csv").write_bytes(shipped.with_suffix(".csv").read_bytes())
    found = risk(load_case(tmp_path / "case.toml"), 200)
    assert 0 < found.failed.sum() == sum(count for count, _, _ in found.faults)
    assert all(path == "plant.performance" for _, path, _ in found.faults)
    assert "outside what the plant's map holds" in verdict(found) + " ".join(chances(found).notes)


def test_yearly_columns_are_kept_only_where_they_are_wanted():
    case = case_of("dunmarrow")
    bare, whole = (risk(case, 50, fans=fans) for fans in (False, True))
    assert bare.fans == {}
    assert whole.fans
    assert np.array_equal(bare.metrics["npv"].values, whole.metrics["npv"].values)
