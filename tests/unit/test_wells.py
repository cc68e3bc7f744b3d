"""Wells by hand: how many, what they cost, and which are added when."""

import numpy as np
import pytest

from geoecon import evaluate
from geoecon.case import Case
from geoecon.wells.counts import count_wells, makeup_cost, makeup_drilled, wells_cost, whole
from geoecon.wells.field import plan_field
from geoecon.wells.success import success_by_well


def one(value):
    return np.array([float(value)])


def wells(flow=100.0, each=50.0, *, spare=0, producers=0, injectors=0, ratio=2.0, success=1.0, reused=0.0):
    return count_wells(
        one(flow), one(each), spare, producers, injectors, one(ratio), success_by_well(one(success)), one(reused)
    )


def test_counts_forgive_rounding_and_nothing_else():
    found = whole(np.array([3.0, 3.0000000001, 3.00000001, 2.9999999999, 0.0, 0.3]))
    assert found.tolist() == [3, 3, 4, 3, 0, 1]


@pytest.mark.parametrize(("flow", "producers"), [(100, 2), (100.00000001, 2), (100.01, 3), (149, 3), (1, 1)])
def test_producers_are_whole(flow, producers):
    assert wells(flow).producers == [producers]


def test_injectors_follow_all_producers():
    assert wells(150, ratio=1.5).injectors == [2]
    assert wells(150, ratio=2.0).injectors == [2]  # one for the odd producer
    assert wells(150, ratio=0.5).injectors == [6]
    spare = wells(150, spare=1, ratio=2.0)
    assert (spare.producers[0], spare.injectors[0]) == (4, 2)


def test_existing_wells_are_not_drilled_again():
    found = wells(150, producers=1, injectors=1, ratio=1.5)
    assert (found.new_producers[0], found.new_injectors[0], found.drilled[0]) == (2, 1, 3)
    more = wells(50, producers=3, injectors=4)
    assert (more.producers[0], more.injectors[0], more.drilled[0]) == (3, 4, 0)


def test_failures_are_drilled_too():
    assert wells(150, ratio=1.5, success=0.5).drilled == pytest.approx([(3 + 2) / 0.5])


def test_failures_of_use_as_injectors():
    found = wells(100, ratio=1.0, success=0.5, reused=0.5)  # two producers fail; one of them injects
    assert found.reused == [1]
    assert found.drilled == pytest.approx([4 / 0.5 - 1])
    assert wells(100, ratio=2.0, success=0.25, reused=1.0).reused == [1]  # six fail, one injector is wanted


def test_cost_of_wells_with_dry_holes():
    found = wells(150, ratio=1.5, success=0.5)
    assert wells_cost(found, one(4), one(3), one(1.0)) == pytest.approx([2 * (3 * 4 + 2 * 3)])
    assert wells_cost(found, one(4), one(3), one(0.6)) == pytest.approx([1.6 * (3 * 4 + 2 * 3)])


def test_a_reused_failure_saves_an_injector():
    found = wells(100, ratio=1.0, success=0.5, reused=0.5)
    assert wells_cost(found, one(4), one(3), one(1.0)) == pytest.approx([2 * (2 * 4 + 2 * 3) - 3])


def test_existing_wells_cost_nothing():
    found = wells(150, producers=3, injectors=2, ratio=1.5, success=0.5)
    assert wells_cost(found, one(4), one(3), one(1.0)) == [0]


def test_a_make_up_well_comes_with_its_share_of_an_injector_and_of_failures():
    assert makeup_cost(one(4), one(3), one(1.5), one(0.5), one(1.0)) == pytest.approx([(4 + 2) * 2])
    assert makeup_cost(one(4), one(3), one(1.5), one(0.5), one(0.0)) == pytest.approx([4 + 2])
    assert makeup_drilled(one(1.5), one(0.5)) == pytest.approx([(1 + 1 / 1.5) / 0.5])


YEARS = 11


def plan(*, loss=0.0, producers=3.0, each=50.0, limit=150.0, threshold=900.0, stop=3, per_year=1, cooling=0.0):
    """A field whose output is 1,000 kW at its limit of brine, proportional to flow, less a share for every year."""
    remaining = np.tile((1 - loss) ** np.arange(float(YEARS)).reshape(-1, 1), 1)

    def output(year, flow, *_):
        return 1000 * np.minimum(flow, limit) / limit * (1 - cooling * year)

    return plan_field(one(producers), one(each), remaining, output, one(threshold), one(limit), stop, per_year)


def test_no_well_is_drilled_while_flow_is_at_the_limit_however_cool_the_brine():
    found = plan(cooling=0.09)
    assert (found.flow == 150).all()
    assert (found.added == 0).all()
    assert (found.producers == 3).all()


def test_a_well_enters_where_flow_is_missing():
    found = plan(loss=0.06)
    # 150 x 0.94 = 141 is above 135; 132.5 in the third year is below it, and a new well brings 50.
    assert found.added[:4].ravel().tolist() == [0, 0, 1, 0]
    assert found.flow[:4].ravel() == pytest.approx([150, 141, 150 * 0.94**2 + 50, 150 * 0.94**3 + 50 * 0.94])
    assert found.producers[:4].ravel().tolist() == [3, 3, 4, 4]


def test_every_well_falls_by_its_own_clock():
    found = plan(loss=0.06)
    for year in range(YEARS):
        ages = [(start, count) for start, count in enumerate([3, *found.added[1:].ravel()]) if start <= year]
        assert found.flow[year, 0] == pytest.approx(sum(50 * count * 0.94 ** (year - start) for start, count in ages))


def test_none_enters_in_the_first_year_or_the_last_ones():
    found = plan(loss=0.3, threshold=999.0, per_year=2)
    assert found.added[0] == 0
    assert (found.added[1 : YEARS - 3] >= 1).all()
    assert (found.added[YEARS - 3 :] == 0).all()
    assert plan(loss=0.3, stop=0).added[-1] >= 1
    assert (plan(loss=0.3, stop=YEARS).added == 0).all()


def test_no_more_than_so_many_in_a_year():
    assert plan(loss=0.6, per_year=1).added.max() == 1
    assert plan(loss=0.6, per_year=2).added.max() == 2
    assert (plan(loss=0.6, per_year=0).added == 0).all()


def test_a_well_that_is_not_needed_does_not_enter_beside_one_that_is():
    assert plan(loss=0.06, per_year=5).added.max() == 1


def test_scenarios_are_planned_apart():
    remaining = np.array([[1.0, 1.0, 1.0], [1.0, 0.8, 0.5], [1.0, 0.6, 0.2], [1.0, 0.5, 0.1], [1.0, 0.4, 0.05]])
    threes = np.full(3, 1.0)
    found = plan_field(
        3 * threes, 50 * threes, remaining, lambda year, flow, *_: flow, 120.1 * threes, 150 * threes, 1, 1
    )
    assert found.added.tolist() == [[0, 0, 0], [0, 1, 1], [0, 0, 1], [0, 1, 1], [0, 0, 0]]


FIELD = """
[project]
name = "Field"
[money]
currency = "USD"
price_year = 2029
[timeline]
first_year = 2030
operating_years = 11
[wells]
cost_per_producer = "1 MUSD"
cost_per_injector = "500 kUSD"
flow_per_producer = "50 kg/s"
flow_decline = "6 %/yr"
success = "50 %"
producers_per_injector = 2
makeup_stop_years = 3
[plant]
kind = "stated"
net_capacity = "1 MW"
stated_brine_flow = "150 kg/s"
[operation]
wellfield_cost = "10 kUSD/yr"
pump_cost = "200 kUSD"
[finance]
discount_rate = "8 %/yr"
"""


def test_a_well_is_paid_at_the_end_of_the_year_before_it_enters():
    annual = evaluate(Case.read(FIELD)).annual
    entered = np.diff(annual["producers"][1:, 0])  # between operating years 1 and 2, 2 and 3, ...
    assert entered.sum() > 0
    # With half an injector, as many failures as successes, and its pump.
    assert annual["sustaining_capital"][1:-1, 0] == pytest.approx(entered * (2 * (1e6 + 0.25e6) + 0.2e6))
    assert annual["sustaining_capital"][[0, -1], 0].tolist() == [0, 0]
    assert annual["capital"][1:, 0].tolist() == annual["sustaining_capital"][1:, 0].tolist()


def test_wells_of_a_case():
    result = evaluate(Case.read(FIELD))
    assert (result.value("producers"), result.value("injectors"), result.value("wells_drilled")) == (3, 2, 10)
    assert result.capital_accounts["wells"] == pytest.approx([2 * (3e6 + 1e6)])
    assert result.capital_accounts["pumps"] == pytest.approx([600e3])
    added = result.annual["producers"][-1, 0] - 3
    assert result.value("makeup_wells") == pytest.approx(added * 1.5 / 0.5)
    in_service = result.annual["producers"][1:, 0] + 2 + (result.annual["producers"][1:, 0] - 3) / 2
    assert result.operating_accounts["wellfield_cost"][1:, 0] == pytest.approx(10e3 * in_service)


def test_temperature_is_never_drilled_against():
    cooling = {
        "resource.temperature": '"150 degC"',
        "resource.temperature_decline": '"3 K/yr"',
        "plant.brine_slope": '"2 %/K"',
    }
    result = evaluate(Case.read(FIELD).with_texts(cooling | {"wells.flow_decline": "0 %/yr"}))
    assert result.annual["delivered_energy"][-1, 0] < 0.5 * result.annual["delivered_energy"][1, 0]
    assert result.value("makeup_wells") == 0
