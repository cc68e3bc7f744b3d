"""Go, wait or stop: the rules on arrays made by hand, and on the shipped cases."""

import numpy as np
import pytest

from geoecon.engine import evaluate
from geoecon.errors import CaseError
from geoecon.finance.reasons import Reason
from geoecon.report.decision import needed, sheets, turning
from geoecon.report.verdict import verdict
from geoecon.result import Metric
from geoecon.studies.events import COVER
from geoecon.studies.gates import GO, STOP, WAIT, _met, _price, _turn, criteria, decide
from geoecon.studies.risk import risk
from geoecon.studies.targets import Target


@pytest.fixture(scope="module")
def decided():
    found = {}

    def of(case):
        if case.digest not in found:
            found[case.digest] = decide(case, risk(case, 1000))
        return found[case.digest]

    return of


def with_criteria(case, *lines):
    text = case.to_toml().split("[[decision.criteria]]")[0]
    return type(case).read(text + "\n".join(f"\n[[decision.criteria]]\n{line}" for line in lines))


def test_a_shipped_case_deserves_a_no_and_gets_it(example, decided):
    found = decided(example("harrow-fen"))
    assert found.verdict == STOP
    assert not found.assumed
    assert [one.asked for one in found.judged] == [0.8, 0.6]
    assert max(one.found for one in found.judged) < 0.01


def test_what_is_sure_enough_is_a_go(example, decided):
    case = with_criteria(example("dunmarrow"), 'target = "lcoe_real <= 900 USD/MWh"\nchance = "99 %"')
    assert decided(case).verdict == GO


def test_between_the_two_it_waits(example, decided):
    found = decided(example("ambry-wells"))
    assert found.verdict == WAIT
    assert any(not one.holds for one in found.judged)
    assert all(one.found >= found.stop_chance for one in found.judged)


def test_a_chance_is_the_share_of_draws_that_meet_the_target(example, decided):
    found = decided(example("ambry-wells"))
    values = found.risk.metrics["npv_equity"].values
    assert found.judged[0].found == np.count_nonzero(values >= 0) / values.size
    assert found.together <= min(one.found for one in found.judged)
    assert found.judged[0].base == found.risk.base.value("npv_equity")


def test_money_spent_is_shown_and_moves_nothing(example, decided):
    case = example("harrow-fen")
    more = case.with_values({"capital.spent_to_date": 9e6})
    assert decided(more).spent == 9e6
    assert decided(case).spent == 180e3
    assert decided(more).to_spend == decided(case).to_spend
    assert [one.found for one in decided(more).judged] == [one.found for one in decided(case).judged]


def metric_of(values, codes):
    return Metric(values, "USD/MWh", "nominal", "delivered", codes)


def test_the_price_that_is_enough_by_hand():
    """Of prices 1 to 100, 70 is enough in 70 of 100; where none is enough for 40 of them, no price is in 80 of 100."""
    prices, codes = np.arange(1.0, 101.0), np.zeros(100, dtype=np.uint8)
    assert _price(metric_of(prices, codes), 0.7)[0] == pytest.approx(70, abs=1)
    codes[60:] = Reason.NO_PRICE_IN_REACH
    assert np.isnan(_price(metric_of(prices, codes), 0.8)).all()
    codes[60:] = Reason.ANY_PRICE_PAYS
    assert _price(metric_of(prices, codes), 0.3)[0] == 0
    assert _price(metric_of(prices, codes), 0.7)[0] == pytest.approx(30, abs=1)


def test_the_error_of_a_price_is_that_of_a_quantile():
    """Of n even draws over a span of 1 the error of the quantile p is sqrt(p (1 - p) / n) for plain draws."""
    prices = np.random.default_rng(4).random(4000)
    errors = [_price(metric_of(prices[shift:], np.zeros(4000 - shift, dtype=np.uint8)), 0.8)[1] for shift in range(200)]
    assert np.mean(errors) == pytest.approx(np.sqrt(0.8 * 0.2 / 4000), rel=0.4)


def test_a_chance_has_the_error_of_a_share(example, decided):
    """sqrt(p (1 - p) / n), for criteria by hand from the drawn figures; of a turn with the draws inside it as n."""
    found = decided(example("ambry-wells"))
    for one in found.judged:
        share = float((found.risk.metrics[one.target.metric].values >= one.target.value).mean())
        assert one.error == pytest.approx(np.sqrt(share * (1 - share) / 1000), rel=1e-12)
    assert found.turns
    for turn in found.turns:
        inside = round(turn.likely * 1000)
        assert turn.error == pytest.approx(np.sqrt(turn.reached * (1 - turn.reached) / inside), rel=1e-9)


def test_needs_are_those_of_the_criterion_that_misses_most(example):
    """npv_equity is asked with 95 %, cover with 1 %: the first misses by more, though the second has less chance."""
    lines = ['target = "npv_equity >= 0 USD"\nchance = "95 %"', 'target = "dscr_min >= 1.5"\nchance = "1 %"']
    for order in (lines, lines[::-1]):
        found = decide(with_criteria(example("ambry-wells"), *order), risk(example("ambry-wells"), 400))
        chances = {one.target.metric: one.found for one in found.judged}
        assert chances["dscr_min"] < chances["npv_equity"]
        assert found.needs.target.metric == "npv_equity"
        assert found.needs.held


@pytest.mark.parametrize(
    ("name", "lines", "chance"),
    [
        (
            "ambry-wells",
            ('target = "npv_equity >= 0 USD"\nchance = "50 %"', 'target = "dscr_min >= 1"\nchance = "90 %"'),
            0.5,
        ),
        (
            "ambry-wells",
            ('target = "dscr_min >= 1"\nchance = "90 %"', 'target = "irr_equity >= 5 %/yr"\nchance = "60 %"'),
            0.6,
        ),
        ("ambry-wells", ('target = "dscr_min >= 1"\nchance = "70 %"', 'target = "npv >= 0 USD"\nchance = "40 %"'), 0.7),
        (
            "kettle-sound",
            ('target = "npv >= 0 USD"\nchance = "90 %"', 'target = "dscr_min >= 1"\nchance = "60 %"'),
            0.6,
        ),
    ],
)
def test_a_price_is_told_with_the_chance_asked_of_what_it_gives(example, name, lines, chance):
    """A required price gives a private owner the return and a public one cover, and nothing else."""
    case = with_criteria(example(name), *lines)
    found = decide(case, risk(case, 400))
    assert found.price_chance == chance
    required = found.risk.metrics["required_price"]
    enough = np.where(required.codes == Reason.ANY_PRICE_PAYS, 0.0, required.values) <= found.price
    assert chance <= enough.mean() <= chance + 0.01


def test_words_say_give_or_take_and_which_money(example, decided):
    found = decided(example("ambry-wells"))
    turned = turning(found)
    assert all("+-" in row[-1] for row in turned.rows)
    assert "give or take" in " ".join(turned.notes)
    assert "market.price is nominal, in money of operating year 1" in " ".join(needed(found).notes)
    assert "`" not in " ".join(note for sheet in sheets(found) for note in sheet.notes)


def test_what_is_not_needed_is_met():
    """Where even a price of zero pays, any limit on the price holds; without debt, any cover."""
    codes = np.array([Reason.NONE, Reason.ANY_PRICE_PAYS, Reason.NO_PRICE_IN_REACH], dtype=np.uint8)
    met = _met(Target("required_price", 90.0, "<="), metric_of(np.array([95.0, np.nan, np.nan]), codes))
    assert met.tolist() == [False, True, False]
    codes = np.array([Reason.NONE, Reason.NO_DEBT], dtype=np.uint8)
    assert _met(Target("dscr_min", 1.0, ">="), metric_of(np.array([0.9, np.nan]), codes)).tolist() == [False, True]


def test_criteria_and_events_agree_where_some_draws_have_no_debt(example):
    shape = '[uncertainty."finance.debt_share"]\nshape = "discrete"\nvalues = ["0 %", "45 %"]\nchances = [0.5, 0.5]'
    case = type(example("ambry-wells")).read(f"{example('ambry-wells').to_toml()}\n{shape}\n")
    study = risk(case, 400)
    cover = next(event for event in study.events if event.key == COVER)
    assert decide(case, study).judged[1].found == pytest.approx(1 - cover.chance)


def test_a_handful_of_draws_gives_no_verdict(example):
    with pytest.raises(CaseError, match="too few for a verdict"):
        decide(example("dunmarrow"), risk(example("dunmarrow"), 20))


class TestTurns:
    """An input that alone decides: the criterion holds where it is above 0.6."""

    values = (np.arange(1000) + 0.5) / 1000

    def turn(self, met, asked, *, towards):
        return _turn("x", self.values, np.array([met]), np.array([asked]), towards=towards)

    def test_towards_a_go_the_widest_share_that_holds_as_asked(self):
        """Of the upper half 80 % hold; of the upper 40 % all do."""
        turn = self.turn(self.values > 0.6, 0.9, towards=True)
        assert (turn.likely, turn.more, turn.reached) == (0.4, True, pytest.approx(1.0, abs=0.01))
        assert turn.value == pytest.approx(0.6, abs=0.002)
        assert self.turn(self.values > 0.6, 0.75, towards=True).likely == 0.5

    def test_away_from_a_go_the_other_end(self):
        turn = self.turn(self.values > 0.2, 0.7, towards=False)
        assert (turn.likely, turn.more) == (0.5, False)
        assert turn.reached == pytest.approx(0.6, abs=0.01)

    def test_less_may_be_what_helps(self):
        assert self.turn(self.values < 0.3, 0.9, towards=True).more is False

    def test_nothing_turns_what_never_or_always_holds(self):
        assert self.turn(self.values > 2, 0.9, towards=True) is None
        assert self.turn(self.values > -1, 0.9, towards=False) is None


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ('target = "npv"', "is no target; write METRIC >= VALUE"),
        ('target = "nvp >= 0 USD"', "is no metric; did you mean 'npv'"),
        ('target = "npv >= 0"', "has no unit; write it in USD"),
    ],
)
def test_a_criterion_that_is_none_is_said(example, line, words):
    with pytest.raises(CaseError, match=words):
        criteria(with_criteria(example("dunmarrow"), line))


def test_without_a_price_there_is_nothing_to_judge(example):
    text = "\n".join(line for line in example("tessel-ridge").to_toml().splitlines() if not line.startswith("price = "))
    with pytest.raises(CaseError, match="no price is stated"):
        criteria(type(example("tessel-ridge")).read(text))


def test_criteria_that_are_assumed_follow_the_owner(example):
    private, assumed = criteria(example("ambry-wells"))
    assert assumed
    assert [one.metric for one, _ in private] == ["npv_equity", "dscr_min"]


@pytest.mark.parametrize(
    ("name", "told", "metric"),
    [
        ("kettle-sound", {}, "required_price"),
        ("kettle-sound", {"project.owner": "cooperative"}, "required_price"),
        ("pell-crossing", {}, "revenue_requirement_levelized"),
        ("pell-crossing", {"market.price": "91 USD/MWh"}, "revenue_requirement_levelized"),
    ],
)
def test_other_owners_are_asked_by_the_figure_that_they_look_at_first(example, name, told, metric):
    """The case as it is holds its owner's criterion exactly where the answer says that it pays."""
    case = example(name).with_texts(told)
    ((first, chance), (lender, _)), assumed = criteria(case)
    assert (first.metric, chance, lender.metric, assumed) == (metric, 0.5, "dscr_min", True)
    base = evaluate(case)
    pays = "At the stated price it pays" in verdict(base)
    assert first.met(base.metrics[metric].values)[0] == pays
    other = base.price_at_own_rate if name == "pell-crossing" else base.annual["price"][base.build_years]
    assert first.value == pytest.approx(other[0], rel=1e-11)


def test_a_utility_is_told_the_level_price_that_collects_what_it_requires(example, decided):
    found = decided(example("pell-crossing"))
    assert (found.priced, found.price_chance) == ("revenue_requirement_levelized", 0.5)
    required = found.risk.metrics["revenue_requirement_levelized"]
    enough = np.where(required.codes == 0, required.values, np.inf) <= found.price
    assert 0.5 <= enough.mean() <= 0.502
    words = " ".join(note for sheet in sheets(found) for note in sheet.notes)
    assert "would collect the revenue required with 50 % chance" in words
    assert "which is what the stated price is worth as one level price" in words


def test_limits_that_the_owner_sets_are_criteria(example):
    public = example("kettle-sound").with_texts({"finance.commitment_cap": "12 MUSD"})
    assert criteria(public)[0][-1][0].in_words("USD") == "total_commitment at most 12,000,000 USD"
    shared = example("dunmarrow").with_texts({"project.owner": "cooperative", "finance.target_tier": "1.25"})
    (*_, (tier, chance)), assumed = criteria(shared)
    assert assumed
    assert (tier.metric, tier.value, chance) == ("tier_min", 1.25, 0.8)
