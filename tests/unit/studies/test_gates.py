"""Go, wait or stop: the rules on arrays made by hand, and on the shipped cases."""

import numpy as np
import pytest

from geoecon.errors import CaseError
from geoecon.studies.gates import GO, STOP, WAIT, _price, _turn, criteria, decide
from geoecon.studies.risk import risk


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


def test_the_price_that_is_enough_by_hand():
    """With prices 1 to 100, 70 is enough in 70 of 100; where none is enough for 40 of them, no price is in 80 of 100."""
    prices = np.arange(1.0, 101.0)
    assert _price(prices, 0.7) == pytest.approx(70, abs=1)
    prices[60:] = np.nan
    assert np.isnan(_price(prices, 0.8))


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
    assert [one.metric for one, _ in criteria(example("kettle-sound"))[0]] == ["npv", "dscr_min"]
