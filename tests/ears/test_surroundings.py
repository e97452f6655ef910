"""After talk for somebody else an answer must be clearer to count. Seconds and confidences stand for sound."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.data.phrases import lexicon
from bench.ears.ear_settings import EarSettings
from bench.ears.surroundings import Surroundings, at_odds
from bench.language.meaning import Heard, Hypothesis

SETTINGS = EarSettings(talk_lasts=6, talk_odds=5, not_ours=0.15)
TALK = Heard((Hypothesis(("ten",), 0.05),))
NEXT = Heard((Hypothesis(("next",), 0.9),))


def test_the_ears_and_the_understanding_agree_on_what_was_not_for_us() -> None:
    assert EarSettings().not_ours == lexicon().certainty.ignore


def test_bayes() -> None:
    """Prior odds of one to five instead of one to one (Bayes 1763): 0.9 against 0.1 times five."""
    assert at_odds(0.9, 5) == pytest.approx(0.9 / 1.4)


@given(st.floats(0, 1), st.floats(1, 100))
def test_odds_never_make_surer_and_leave_certainty_alone(confidence: float, odds: float) -> None:
    assert at_odds(confidence, odds) <= confidence + 1e-12
    assert at_odds(1.0, odds) == 1.0
    assert at_odds(0.0, odds) == 0.0


def test_without_talk_nothing_changes() -> None:
    around = Surroundings(SETTINGS)
    assert around.weigh(NEXT, 1, 2) == NEXT
    assert around.weigh(NEXT, 2.5, 3) == NEXT


def test_shortly_after_talk_an_answer_is_less_sure_and_later_not() -> None:
    around = Surroundings(SETTINGS)
    assert around.weigh(TALK, 0, 4) == TALK
    assert around.weigh(NEXT, 9, 10).confidence == pytest.approx(at_odds(0.9, 5))
    assert around.weigh(NEXT, 10.5, 11) == NEXT


def test_sound_that_was_nothing_counts_as_talk_too() -> None:
    around = Surroundings(SETTINGS)
    around.weigh(Heard(()), 0, 4)
    assert around.weigh(NEXT, 5, 6).confidence < 0.9


def test_after_the_assistant_has_spoken_an_answer_is_likely_again() -> None:
    around = Surroundings(SETTINGS)
    around.weigh(TALK, 0, 4)
    around.forget()
    assert around.weigh(NEXT, 5, 6) == NEXT
