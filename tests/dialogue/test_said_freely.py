"""What people say otherwise than asked, and what it comes to. No source: common speech."""

from __future__ import annotations

import pytest

from bench.data.screen_words import tile_faces
from bench.dialogue.state import Stage
from tests.dialogue.conversation import SADDLE, after

SET_UP = ("emt", "three quarter", "typical")
TO_CHECK = ("next",) * 7


@pytest.mark.parametrize("words", ["make it thirty", "sure but make it thirty", "yes but make it thirty"])
def test_an_angle_far_from_the_last_length_is_the_angle(words: str) -> None:
    talk = after(*SADDLE)
    talk.say(words)
    assert talk.stage is Stage.READ_BACK, "no yes to what was changed"
    assert talk.state.now.bend.measures["angle"] == 30
    assert not talk.state.now.stick.bends


@pytest.mark.parametrize(
    ("words", "height"), [("make it three", 3), ("no four", 4), ("yes but make it five", 5)]
)
def test_a_length_like_the_last_one_replaces_it(words: str, height: int) -> None:
    talk = after(*SADDLE)
    talk.say(words)
    assert talk.state.now.bend.measures["height"] == height
    assert "angle" not in talk.state.now.bend.measures


@pytest.mark.parametrize("words", ["over bent three degrees", "it's underbent", "three degrees over bent"])
def test_an_angle_found_off_where_several_make_the_shape_is_measured(words: str) -> None:
    talk = after(*SADDLE, "yes", *TO_CHECK)
    assert talk.view.verb == "CHECK"
    verb, number = talk.view.verb, talk.view.number
    talk.say(words)
    assert "tells which angle" in talk.reply
    assert (talk.view.verb, talk.view.number) == (verb, number), "the same check is asked again"
    assert not talk.state.now.observed


def test_a_metric_check_is_told_in_millimeters() -> None:
    talk = after(
        *SET_UP, "switch to metric", "offset", "one thousand", "one hundred fifty", "yes", *TO_CHECK[:-1]
    )
    while talk.view.verb != "CHECK":
        talk.say("next")
    seen = talk.view
    told = f"{talk.reply} {' '.join(seen.lines)}"
    assert "six hundred millimeters" in talk.reply
    assert "feet" not in told


def test_what_stands_on_a_tile_can_be_said() -> None:
    """The short words of the tiles mean what the tiles mean, at the question that shows them, read aloud."""
    faces = tile_faces()
    for before in ((), SET_UP[:1], SET_UP):
        talk = after(*before)
        for choice in talk.view.choices:
            face = faces.get(choice, choice).rstrip('"').replace("90s", "nineties")
            shown, plain = talk.branch(), talk.branch()
            shown.say(face)
            plain.say(choice)
            assert shown.stage is plain.stage, choice
            assert shown.state.now.bend.kind == plain.state.now.bend.kind, choice
    for words in ("stub up", "ninety", "90"):
        assert after(*SET_UP, words).state.now.bend.kind == "stub"


def test_once_more_is_another_pipe_only_where_there_can_be_one() -> None:
    """It sounds like "one more": where another pipe may be asked for it is not understood, elsewhere it repeats."""
    marking = after(*SADDLE, "yes")
    told = marking.reply
    marking.say("once more")
    assert marking.reply.split(".")[0] in told
    done = after(*SET_UP, "stub", "twelve", "yes")
    while done.view.verb != "NEXT":
        done.say("next")
    sticks = done.state.now.done
    done.say("once more")
    assert (done.stage, done.state.now.done) == (Stage.AFTER, sticks)
