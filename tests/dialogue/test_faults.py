"""Every fault that can be seen at every check of every bend: asked how much, read back, mended or fit. Never stuck."""

from __future__ import annotations

import pytest

from bench.core.bends import BENDS
from bench.dialogue.state import Stage
from bench.knowledge import knowledge
from bench.language.lexicon import offered
from tests.dialogue.conversation import Conversation

MEASURED = {
    "offset": ("thirty eight", "ten"),
    "saddle3": ("fifteen", "four", "skip"),
    "saddle4": ("forty", "three", "six"),
    "stub": ("ten",),
    "back-to-back": ("forty",),
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
    for words in ("emt", "half inch", "typical", spoken_choice(kind), *MEASURED[kind], "yes"):
        talk.say(words)
    while talk.view.verb != "CHECK":
        assert talk.stage is Stage.WORK
        talk.say("next")
    return talk


@pytest.mark.parametrize("kind", BENDS)
def test_every_fault_is_read_back_and_leads_on(kind: str) -> None:
    talk = first_check(kind)
    while talk.view.verb == "CHECK":
        for fault in talk.listens.expectation.choices[1:]:
            for amount in ("one inch", "twelve inches"):
                look = talk.branch()
                look.say(spoken_choice(fault))
                assert look.stage is Stage.HOW_MUCH, (fault, look.reply)
                look.say(amount)
                if look.stage is Stage.HOW_MUCH:
                    assert "cannot be off by that much" in look.reply
                    look.say("cancel")
                    assert look.state.now.stick == talk.state.now.stick
                    continue
                assert look.stage is Stage.MEASURED, (fault, amount, look.reply)
                assert "Right?" in look.reply
                assert "minus" not in look.reply
                assert not look.state.now.observed, "used before it was confirmed"
                look.say("yes")
                assert look.stage in (Stage.WORK, Stage.TWEAK), (fault, amount, look.reply)
                if look.stage is Stage.TWEAK:
                    look.say("next")
                    assert look.view.verb == "CHECK", "measured again after it is mended"
        talk.say("it fits")
    assert talk.view.verb == "CUT"
