"""What is unsure, out of range or not understood; devices that fail; time that passes. Never a dead end."""

from __future__ import annotations

from fractions import Fraction

import pytest

from bench.dialogue.effects import Earcon, Finish, Hush, Look, Restyle, Say, Tone, Tune, Tuning, WriteSheet
from bench.dialogue.events import Failed, Key, Pressed, Recovered, Said, Silence
from bench.dialogue.state import AsideKind, Stage
from bench.job.records import Record
from bench.language.meaning import Heard, Hypothesis, Kind
from tests.dialogue.conversation import after

SET_UP = ("emt", "half inch", "typical")
SADDLE = (*SET_UP, "saddle", "fifteen")
AT: dict[Kind, tuple[str, ...]] = {
    Kind.CHOICE: (),
    Kind.SIZE: ("emt",),
    Kind.LENGTH: SADDLE,
    Kind.ANGLE: (*SET_UP, "segmented bend", "twenty four"),
    Kind.COUNT: (*SET_UP, "segmented bend", "twenty four", "ninety"),
    Kind.YESNO: (*SET_UP, "stub", "ten"),
    Kind.COMMAND: (*SET_UP, "stub", "ten", "yes"),
}
"""How to come to a question of each kind."""


def heard(*readings: tuple[str, float]) -> Said:
    """What a recognizer makes of something mumbled."""
    return Said(Heard(tuple(Hypothesis(tuple(words.split()), sure) for words, sure in readings), 1.0))


@pytest.mark.parametrize("kind", AT)
def test_ten_times_not_understood_is_never_a_dead_end(kind: Kind) -> None:
    talk = after(*AT[kind])
    assert talk.listens.expectation.kind is kind
    place = talk.state.now
    for _ in range(10):
        talk.say("blue moon rising")
        assert talk.state.now == place
        assert talk.spoken
        assert talk.view.say
    talk.say("undo")
    assert talk.state.aside is None


@pytest.mark.parametrize("kind", [Kind.CHOICE, Kind.SIZE, Kind.LENGTH, Kind.ANGLE, Kind.COUNT])
def test_the_third_time_asks_in_parts(kind: Kind) -> None:
    talk = after(*AT[kind])
    talk.say("blue")
    talk.say("blue")
    assert talk.state.aside is None
    assert talk.reply.startswith("Say again?")
    talk.say("blue")
    assert talk.state.aside is not None
    asked = AsideKind.WHOLE if kind is Kind.LENGTH else AsideKind.OFFER
    assert talk.state.aside.kind is asked


@pytest.mark.parametrize("kind", [Kind.CHOICE, Kind.SIZE, Kind.ANGLE, Kind.COUNT])
def test_no_to_everything_offered_asks_again(kind: Kind) -> None:
    talk = after(*AT[kind])
    for _ in range(3):
        talk.say("blue")
    offered = 0
    while talk.state.aside is not None:
        if talk.view.verb == "DID YOU SAY":
            offered += 1
        talk.say("no")
        if offered > 30:
            break
    assert offered >= 2
    assert talk.view.say


def test_a_length_in_parts_is_read_back_whole() -> None:
    talk = after(*SADDLE)
    for words in ("blue", "blue", "blue", "three", "five eighths"):
        talk.say(words)
    assert talk.state.now.bend.measures["height"] == Fraction(29, 8)
    assert talk.reply.startswith("Three and five eighths.")


def test_a_whole_length_has_no_fraction() -> None:
    talk = after(*SADDLE)
    for words in ("blue", "blue", "blue", "three", "none"):
        talk.say(words)
    assert talk.state.now.bend.measures["height"] == 3


def test_millimeters_are_asked_whole() -> None:
    talk = after(*SET_UP, "switch to metric", "saddle", "four hundred")
    for words in ("blue", "blue", "blue"):
        talk.say(words)
    assert "millimeters" in talk.reply
    talk.say("sixty four")
    assert talk.state.now.bend.measures["height"] == Fraction(64 * 5, 127)


def test_out_of_range_says_the_range_and_takes_nothing() -> None:
    talk = after(*SADDLE)
    before = talk.state.now
    talk.say("ninety")
    assert talk.state.now == before
    assert "I heard ninety inches. It can be" in talk.reply


def test_a_part_that_makes_it_too_much_is_refused_with_the_range() -> None:
    talk = after(*SADDLE)
    most = talk.listens.expectation.most
    assert most is not None
    for words in ("blue", "blue", "blue"):
        talk.say(words)
    talk.say({24: "twenty four", 60: "sixty", 48: "forty eight", 36: "thirty six"}[int(most)])
    talk.say("fifteen sixteenths")
    assert "height" not in talk.state.now.bend.measures
    assert "It can be" in talk.reply


def test_a_part_that_makes_it_too_little_is_refused_with_the_range() -> None:
    talk = after("emt", "half inch", "typical", "offset")
    least = talk.listens.expectation.least
    assert least == 1
    for words in ("blue", "blue", "blue", "zero", "a half"):
        talk.say(words)
    assert "distance" not in talk.state.now.bend.measures
    assert [note.values["least"] for note in talk.notes if note.code == "out_of_range"] == [least]


@pytest.mark.parametrize(
    ("words", "taken"), [("one hundred twenty", True), ("one hundred twenty one", False)]
)
def test_no_length_is_longer_than_the_stick(words: str, taken: bool) -> None:
    """EMT comes in sticks of ten feet: common practice, no source."""
    talk = after("emt", "half inch", "typical", "offset")
    talk.say(words)
    assert ("distance" in talk.state.now.bend.measures) == taken
    told = [note.values["most"] for note in talk.notes if note.code == "out_of_range"]
    assert told == ([] if taken else [Fraction(120)])


def test_unsure_offers_each_reading_for_a_yes() -> None:
    talk = after(*SADDLE)
    before = talk.state.now
    talk.take(heard(("three and a half", 0.38), ("three and a quarter", 0.37)))
    assert talk.state.now == before
    assert talk.reply == "Did you say three and a half?"
    talk.say("no")
    assert talk.reply == "Did you say three and a quarter?"
    talk.say("next")
    assert talk.state.now == before
    talk.take(heard(("three and a half", 0.38), ("three and a quarter", 0.37)))
    talk.say("yes")
    assert talk.state.now.bend.measures["height"] in (Fraction(7, 2), Fraction(13, 4))


def test_an_unsure_yes_confirms_nothing() -> None:
    talk = after(*SET_UP, "stub", "ten")
    talk.take(heard(("yes", 0.4)))
    assert talk.stage is Stage.READ_BACK
    assert not talk.state.now.stick.bends


def test_sound_that_was_not_for_us_only_sounds() -> None:
    talk = after(*SADDLE)
    before = talk.state.now
    talk.take(Said(Heard((), 0.4)))
    assert talk.state.now == before
    assert not talk.spoken
    assert Earcon(Tone.NOT_UNDERSTOOD) in talk.effects


def test_talk_for_others_is_not_shown() -> None:
    talk = after(*SADDLE)
    before = talk.view.heard
    talk.take(heard(("twenty two no one foot", 0.03)))
    assert talk.view.heard == before
    assert not talk.spoken
    talk.take(heard(("two and a half", 0.3)))
    assert talk.view.heard == "two and a half"


def test_the_question_is_said_once_more_and_not_again() -> None:
    talk = after(*SADDLE)
    talk.take(Silence(60.0))
    assert talk.spoken == "Still here. Height?"
    talk.take(Silence(60.0))
    assert not talk.spoken
    talk.say("three")
    talk.take(Silence(60.0))
    assert talk.spoken.startswith("Still here.")


@pytest.mark.parametrize("part", ["microphone", "speaker", "voice", "recognizer", "disk"])
def test_a_failure_is_told_shown_and_kept_until_it_is_over(part: str) -> None:
    talk = after(*SADDLE)
    before = talk.state.now
    talk.take(Failed(part, f"The {part} {{0}} is gone.", "Plug it in."))
    assert f"The {part}" in talk.spoken
    assert any("Plug it in." in trouble for trouble in talk.view.troubles)
    talk.say("repeat")
    assert any(part in trouble for trouble in talk.view.troubles), "shown for as long as it lasts"
    talk.take(Failed(part, f"The {part} is gone again.", "Plug it in."))
    assert len(talk.view.troubles) == 1
    talk.take(Recovered(part, f"The {part} is back."))
    assert not talk.view.troubles
    assert talk.state.now == before
    assert [record.kind for record in talk.records] == ["recovered"]


def test_quiet_mode_shows_and_does_not_speak() -> None:
    talk = after(*SET_UP, "quiet mode")
    for words in ("stub", "ten", "yes"):
        talk.say(words)
        assert not talk.spoken
        assert talk.reply
    talk.say("voice mode")
    assert talk.spoken == "Voice on."


def test_what_is_asked_of_the_other_packages() -> None:
    talk = after(*SET_UP)
    for words, effect in (
        ("louder", Tune(Tuning.VOLUME, +1)),
        ("quieter", Tune(Tuning.VOLUME, -1)),
        ("faster", Tune(Tuning.RATE, +1)),
        ("slower", Tune(Tuning.RATE, -1)),
        ("be quiet", Hush()),
        ("sunlight colors", Restyle(Look.SUNLIGHT)),
        ("dark", Restyle(Look.DARK)),
        ("go light", Restyle(Look.LIGHT)),
        ("bigger letters", Restyle(Look.BIGGER)),
        ("smaller", Restyle(Look.SMALLER)),
    ):
        talk.say(words)
        assert effect in talk.effects
    for words in ("stub", "ten", "yes", *["next"] * 3, "fits", "fits", *["next"] * 3, "job sheet"):
        talk.say(words)
    assert WriteSheet() in talk.effects
    talk.take(Pressed(Key.QUIT))
    assert Finish() in talk.effects


def test_every_answer_is_written_down_before_it_is_spoken() -> None:
    talk = after(*SADDLE)
    for words in ("three", "skip", "yes", "next"):
        talk.say(words)
        kinds = [type(effect).__name__ for effect in talk.effects]
        assert kinds.index("Say") > max(n for n, name in enumerate(kinds) if name == "Record")
        assert any(isinstance(effect, Say) for effect in talk.effects)
    assert [record.kind for record in talk.records] == ["step_done"]


def test_the_log_has_the_words_the_meaning_and_how_sure() -> None:
    talk = after(*SADDLE)
    talk.take(heard(("three and a half", 0.9)))
    (entry,) = [e.detail for e in talk.effects if isinstance(e, Record) and e.kind == "heard"]
    assert entry["words"] == "three and a half"
    assert (entry["kind"], entry["value"], entry["confidence"]) == ("length", "7/2", 0.9)
    talk.say("blue")
    (entry,) = [e.detail for e in talk.effects if isinstance(e, Record) and e.kind == "heard"]
    assert entry["trouble"] == "not_a_phrase"


def test_an_unsure_order_is_asked_with_everything_in_it() -> None:
    """A yes to half of it would be a yes to numbers that were never told."""
    talk = after()
    words = "half inch emt three point saddle thirty one and a quarter to center two and a half high"
    talk.take(heard((words, 0.4)))
    for part in ("half inch", "E M T", "three point saddle", "center thirty-one and a quarter"):
        assert part in talk.reply
    assert talk.reply.rstrip("?").endswith("height two and a half")
