"""Choosing among what was heard: range, certainty, corrections, pause."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F

import pytest

from bench.data.phrases import lexicon
from bench.language.meaning import (
    Expectation,
    Heard,
    Hypothesis,
    Kind,
    Meaning,
    Trouble,
    Understanding,
    typed,
)
from bench.language.understand import understand
from tests.language.states import ORDERS, STATES

HEIGHT = STATES["height"]


def heard(*readings: tuple[str, float]) -> Heard:
    return Heard(tuple(Hypothesis(tuple(words.split()), confidence) for words, confidence in readings))


def of(expectation: Expectation, *readings: tuple[str, float]) -> Understanding:
    return understand(heard(*readings), expectation, lexicon())


def values(understood: Understanding) -> list[object]:
    return [meaning.value for meaning in understood.alternatives]


def test_sound_that_was_not_for_us_is_nothing() -> None:
    assert understand(Heard(()), HEIGHT, lexicon()).trouble is Trouble.NOTHING
    assert of(HEIGHT, ("seven", 0.05)).trouble is Trouble.NOTHING
    assert of(HEIGHT, ("talk talk", 0.05)).trouble is Trouble.NOTHING


def test_the_first_reading_that_is_a_whole_phrase_is_taken() -> None:
    understood = of(HEIGHT, ("seven and three eight", 0.9), ("seven and three eighths", 0.8), ("eleven", 0.5))
    assert understood.meaning == Meaning(Kind.LENGTH, F(59, 8))
    assert understood.confidence == 0.8
    assert values(understood)[0] == 11


def test_other_readings_come_before_what_only_sounds_alike() -> None:
    understood = of(HEIGHT, ("thirteen", 0.9), ("sixteen", 0.6))
    assert understood.meaning == Meaning(Kind.LENGTH, F(13))
    assert values(understood) == [16]
    assert values(of(STATES["distance"], ("fifteen", 0.9))) == [50]


@pytest.mark.parametrize("words", ["two and a half", "two and a half high", "height two and a half"])
def test_an_answer_with_its_label_is_the_answer(words: str) -> None:
    """Where more may be said in a breath, what is only the answer means the same as the number alone."""
    asked = ORDERS["length and more"]
    assert of(asked, (words, 0.9)).meaning == Meaning(Kind.LENGTH, F(5, 2))


@pytest.mark.parametrize("words", ["four wide", "no two and a half high"])
def test_another_measure_or_a_correction_is_an_order(words: str) -> None:
    meaning = of(ORDERS["length and more"], (words, 0.9)).meaning
    assert meaning is not None
    assert meaning.kind is Kind.ORDER


@pytest.mark.parametrize(
    ("words", "other"),
    [
        ("thirteen", 30),
        ("forty and a half", F(29, 2)),
        ("three eighths", F(25, 8)),
        ("three and an eighth", F(3, 8)),
        ("twenty seven and a sixteenth", F(7, 16)),
        ("four foot two", 42),
        ("five", 9),
        ("thirty one quarter", F(121, 4)),
    ],
)
def test_what_sounds_alike_is_an_alternative(words: str, other: object) -> None:
    if words == "twenty seven and a sixteenth":
        words, other = "seven and a sixteenth", F(7, 16)
    assert other in values(of(Expectation(Kind.LENGTH, most=F(120)), (words, 0.9)))


def test_typed_digits_sound_like_nothing_else() -> None:
    assert values(of(HEIGHT, ("13", 1.0))) == []


def test_out_of_range_is_told_with_what_it_would_have_been() -> None:
    understood = of(HEIGHT, ("fifty", 0.9))
    assert understood.meaning is None
    assert understood.trouble is Trouble.OUT_OF_RANGE
    assert values(understood) == [50, 15]
    assert of(STATES["distance"], ("four hundred", 0.9)).alternatives[0].value == 400


def test_out_of_range_with_a_plausible_rival_is_unsure() -> None:
    understood = of(HEIGHT, ("fifty", 0.6), ("fifteen", 0.5))
    assert understood.meaning is None
    assert understood.trouble is Trouble.UNSURE
    assert values(understood)[:2] == [50, 15] or values(understood)[:2] == [15, 50]


def test_certainty_needed_grows_with_the_cost_of_a_mistake() -> None:
    certainty = lexicon().certainty
    assert certainty.ignore < certainty.command < certainty.costly_command
    assert certainty.no < certainty.yes
    middle = (certainty.command + certainty.costly_command) / 2
    assert of(STATES["marking"], ("next", middle)).meaning == Meaning(Kind.COMMAND, "next")
    costly = of(STATES["marking"], ("cancel", middle))
    assert costly.trouble is Trouble.UNSURE
    assert costly.alternatives == (Meaning(Kind.COMMAND, "cancel"),)


def test_two_numbers_heard_equally_well_are_not_guessed_at() -> None:
    close = of(HEIGHT, ("fifteen", 0.51), ("sixteen", 0.505))
    assert close.trouble is Trouble.UNSURE
    assert values(close)[:2] == [15, 16]


def test_a_correction_replaces_the_value_before() -> None:
    assert of(HEIGHT, ("no seven", 0.9)).meaning == Meaning(Kind.LENGTH, F(7), corrects=True)
    after_angle = STATES["distance"]
    assert of(after_angle, ("no thirty", 0.9)).meaning == Meaning(Kind.ANGLE, 30.0, corrects=True)
    assert of(after_angle, ("thirty", 0.9)).meaning == Meaning(Kind.LENGTH, F(30))
    in_one_breath = of(HEIGHT, ("seven no eight and a half", 0.9)).meaning
    assert in_one_breath == Meaning(Kind.LENGTH, F(17, 2))
    assert of(STATES["read-back"], ("no seven", 0.9)).meaning == Meaning(Kind.LENGTH, F(7), corrects=True)


def test_a_correction_of_another_kind_is_not_judged_by_this_range() -> None:
    assert of(replace(HEIGHT, corrected=Kind.ANGLE), ("no eighty", 0.9)).meaning is not None
    assert of(HEIGHT, ("no eighty", 0.9)).trouble is Trouble.OUT_OF_RANGE


def test_no_alone_means_change_unless_it_is_an_answer() -> None:
    assert of(STATES["distance"], ("no", 0.9)).meaning == Meaning(Kind.COMMAND, "change")
    assert of(HEIGHT, ("no", 0.9)).meaning == Meaning(Kind.CHOICE, "none")
    assert of(STATES["read-back"], ("no", 0.9)).meaning == Meaning(Kind.YESNO, False)


def test_a_question_about_a_mark_carries_its_number() -> None:
    meaning = of(STATES["marking"], ("what is mark two", 0.9)).meaning
    assert meaning == Meaning(Kind.COMMAND, "mark_question", 2)
    assert of(STATES["marking"], ("what is mark 12", 0.9)).meaning == replace(meaning, argument=12)


@pytest.mark.parametrize("words", ["next", "yes", "stop listening", "thirty one", "listen", "start"])
def test_paused_means_paused(words: str) -> None:
    assert of(STATES["paused"], (words, 1.0)).meaning is None
    assert of(replace(HEIGHT, paused=True), (words, 1.0)).meaning is None


def test_paused_ends_with_the_wake_phrase() -> None:
    wake = Meaning(Kind.COMMAND, "start_listening")
    assert of(STATES["paused"], ("start listening", 0.95)).meaning == wake
    assert of(STATES["paused"], ("start listening", 0.6)).trouble is Trouble.UNSURE


@pytest.mark.parametrize(
    ("words", "joined"),
    [("e m t", "emt"), ("E.M.T.", "emt"), ("three quarter E M T", "three quarter emt"), ("i m c", "imc")],
)
def test_letters_typed_one_by_one_are_the_word_they_spell(words: str, joined: str) -> None:
    order = STATES["pick in one breath"]
    plain = of(order, (joined, 1.0)).meaning
    assert plain is not None
    assert understand(typed(words), order, lexicon()).meaning == plain


def test_is_may_be_short_after_any_word_of_a_phrase() -> None:
    state = STATES["read-back and corrections"]
    long = of(state, ("the height is three", 1.0)).meaning
    assert long is not None
    assert understand(typed("the height's three"), state, lexicon()).meaning == long
    assert understand(typed("that's right"), state, lexicon()).meaning == Meaning(Kind.YESNO, True)


@pytest.mark.parametrize(
    ("heard", "meant"),
    [
        ("box kick two box three by one inch", "box kick to box three by one inch"),
        ("a box offset four box one inch", "a box offset for box one inch"),
        ("ninety width a kick six inches high", "ninety with a kick six inches high"),
    ],
)
def test_words_that_mean_nothing_are_read_as_what_sounds_the_same(heard: str, meant: str) -> None:
    ask = Expectation(Kind.CHOICE, choices=tuple(lexicon().choices))
    said, wanted = (understand(typed(text), ask, lexicon()).meaning for text in (heard, meant))
    assert said == wanted
