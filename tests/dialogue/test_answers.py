"""Questions about the work in hand: answered from the plan, in a sentence; they move nothing."""

from __future__ import annotations

import re

import pytest

from bench.core.bends import BENDS, work_out
from bench.core.plan import Hook, Reference
from bench.data import tables
from bench.data.bundle import knowledge
from bench.dialogue.always import QUESTIONS
from bench.dialogue.measures import measures_of
from bench.language.speak import spoken_angle, spoken_length
from tests.dialogue.conversation import Conversation, after, phrase_of

SET_UP = ("emt", "three quarter", "typical")
SADDLE = (*SET_UP, "three point saddle thirty one and a quarter to center two and a half high thirty degrees")


def test_what_is_told_of_each_bend_is_what_core_works_out() -> None:
    """Hook, point, angle and place of every mark of a saddle, asked for where it is bent."""
    talk = after(*SADDLE, "yes")
    measures = talk.state.now.stick.bends[0].measures
    plan = work_out("saddle3", measures, tables.setup("emt", "3/4"))
    at = {mark.name: mark for mark in plan.marks}
    asked = set()
    while talk.view.verb != "CHECK":
        if talk.view.verb == "BEND" and talk.view.stick is not None:
            mark = at[str((talk.view.stick.current or 0) + 1)]
            hook = {
                Hook.TAPE_END: "toward the tape end",
                Hook.AWAY: "away from the tape end",
                Hook.EITHER: "either",
            }
            point = {Reference.ARROW: "arrow", Reference.NOTCH: "notch", Reference.STAR: "star"}
            assert hook[mark.hook] in answer(talk, "which way does the hook go")
            assert point[mark.reference] in answer(talk, "what goes on the mark")
            assert spoken_angle(mark.bend) in answer(talk, "how much do I bend")
            asked.add(mark.name)
        talk.say("next")
    assert asked == at.keys()


def test_the_next_mark_is_where_it_will_be_asked_for() -> None:
    talk = after(*SADDLE, "yes")
    told = answer(talk, "where does the next mark go")
    talk.say("next")
    (mark,) = [mark for mark in talk.view.stick.marks if mark.name == "2"] if talk.view.stick else [None]
    assert mark is not None
    assert spoken_length(mark.at) in told


def test_a_turn_is_told_before_it_comes() -> None:
    """The second bend of a saddle is made in the air: the conduit stays. An offset left of a ninety wants a turn."""
    talk = after(*SADDLE, "yes")
    for _ in range(5):
        assert "no turn" in answer(talk, "do I turn it")
        talk.say("next")
    talk = after(*SET_UP, "stub", "twelve", "yes", *["next"] * 8)
    for words in ("another bend", "offset", "sixty", "six", "no", "turn", "to the left", "yes"):
        talk.say(words)
    while talk.view.verb != "TURN":
        talk.say("next")
    turn = talk.reply.lower()
    assert "ninety degrees" in turn
    assert turn.split(".")[0] in answer(talk, "which way do I turn it")


@pytest.mark.parametrize("question", QUESTIONS)
def test_a_question_moves_nothing_and_leaves_the_step_on_the_screen(question: str) -> None:
    talk = after(*SADDLE, "yes")
    for _ in range(6):
        branch = talk.branch()
        branch.say(phrase_of(question))
        assert branch.reply
        assert branch.state.now == talk.state.now
        assert branch.state.past == talk.state.past
        assert (branch.view.verb, branch.view.number, branch.view.action) == (
            talk.view.verb,
            talk.view.number,
            talk.view.action,
        )
        talk.say("next")


def test_an_answer_is_short() -> None:
    for answers in (knowledge().glossary, knowledge().measuring, knowledge().tape_ends):
        for key, said in answers.items():
            assert len(said.split()) <= 22, key
            assert re.fullmatch(r"[A-Za-z' ,:-]*\.", said), key


def test_every_measure_that_is_asked_has_its_way_of_measuring() -> None:
    k = knowledge()
    for kind in k.flows:
        for measure in measures_of(kind, k):
            assert k.measuring.get(f"{kind}.{measure.key}") or k.measuring.get(measure.key), (
                kind,
                measure.key,
            )
    assert all(measure.key in k.measuring for measure in k.calibration)
    assert {"any", *BENDS} >= k.tape_ends.keys() >= {"any"}
    for key in k.measuring:
        kind, _, measured = key.rpartition(".")
        assert not kind or measured in {one.key for one in measures_of(kind, k)}, key


def answer(talk: Conversation, words: str) -> str:
    """What a question is answered, here and now."""
    branch = talk.branch()
    branch.say(words)
    return branch.reply.lower()
