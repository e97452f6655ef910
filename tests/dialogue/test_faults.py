"""Every fault that can be seen at every check of every bend: asked how much, read back, corrected or fit."""

from __future__ import annotations

import pytest

from bench.core.bends import BENDS
from bench.data.bundle import knowledge
from bench.dialogue.stages.readings import DEGREES
from bench.dialogue.state import Stage
from bench.language.lexicon import offered
from tests.dialogue.conversation import Conversation

MEASURED = {
    "offset": ("thirty eight", "ten"),
    "saddle3": ("fifteen", "four", "skip"),
    "saddle4": ("forty", "three", "six"),
    "stub": ("ten",),
    "back-to-back": ("skip", "forty"),
    "kick": ("sixty", "four and five eighths"),
    "rolling": ("sixty", "eight", "twelve"),
    "box-offset": ("half", "two"),
    "parallel": ("forty", "six", "two", "three"),
    "segmented": ("twenty four", "ninety", "six"),
}


def spoken_choice(key: str) -> str:
    """What a person says for a choice."""
    return offered(knowledge().lexicon.choices[key][0])


def first_check(kind: str) -> Conversation:
    """The bend measured, confirmed, marked and bent; at its first check."""
    talk = Conversation()
    talk.start()
    for words in ("emt", "half inch", spoken_choice(kind), *MEASURED[kind], "yes"):
        talk.say(words)
    while talk.view.verb != "CHECK":
        assert talk.stage is Stage.WORK
        talk.say("next")
    return talk


@pytest.mark.parametrize("kind", BENDS)
def test_every_fault_is_read_back_and_leads_on(kind: str) -> None:
    talk = first_check(kind)
    others = ("fits", "does_not_fit", "all_fit")
    faults = talk.listens.expectation.choices[len(others) :]
    for fault in faults:
        for amount in ("one degree", "twelve degrees") if fault in DEGREES else ("one inch", "twelve inches"):
            found_off(talk.branch(), fault, amount)
    while talk.view.verb == "CHECK":
        assert talk.listens.expectation.choices == (*others, *faults), "the same faults at every check"
        talk.say("it fits")
    assert talk.view.verb == "CUT"


def found_off(talk: Conversation, fault: str, amount: str) -> None:
    """A fault is seen by that amount: read back, then near enough, to be corrected, or impossible."""
    stick = talk.state.now.stick
    talk.say(spoken_choice(fault))
    if fault in DEGREES and "that tells which angle" in talk.reply:
        assert (talk.stage, talk.view.verb) == (Stage.WORK, "CHECK"), "several bends: measured at this check"
        assert talk.state.now.stick == stick
        return
    assert talk.stage is Stage.HOW_MUCH, (fault, talk.reply)
    talk.say(amount)
    if talk.stage is Stage.HOW_MUCH:
        assert "cannot be off by that much" in talk.reply
        talk.say("cancel")
        assert (talk.stage, talk.state.now.stick) == (Stage.WORK, stick)
        return
    assert talk.stage is Stage.MEASURED, (fault, amount, talk.reply)
    assert "Right?" in talk.reply
    assert "minus" not in talk.reply
    assert not talk.state.now.observed, "used before it was confirmed"
    talk.say("yes")
    assert talk.stage in (Stage.WORK, Stage.TWEAK), (fault, amount, talk.reply)
    if talk.stage is Stage.TWEAK:
        left = "go on as it is" in talk.reply
        talk.say("next")
        assert talk.stage is Stage.WORK
        assert left or talk.view.verb == "CHECK", "measured again after it is corrected"
