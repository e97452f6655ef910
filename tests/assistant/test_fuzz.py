"""The laws of the dialogue hold in random conversations; `tests/benchmarks/fuzz.py` says which."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from bench.data.bundle import knowledge
from bench.dialogue.state import Stage, State
from bench.job.learning import is_learned
from tests.benchmarks.fuzz import Walk, converse, learned_before
from tests.dialogue.conversation import Conversation
from tests.examples import examples


@pytest.mark.parametrize("first", range(3))
def test_the_laws_hold_whatever_happens(first: int) -> None:
    reached = set()
    for seed in range(100 * first, 100 * first + examples(3)):
        reached |= set(converse(seed, 90).stages)
    assert {Stage.ASK, Stage.READ_BACK, Stage.WORK} <= reached, "a walk that gets nowhere shows nothing"


def test_the_laws_hold_where_a_learned_bender_is_offered() -> None:
    reached, used = set[Stage](), False
    before = at_the_check()
    for seed in range(24):
        rng = Random(seed)
        walk = Walk(knowledge(), rng, replace(before, learned=learned_before(rng)))
        walk.accept(before)
        for _ in range(25):
            walk.take(walk.event())
        reached |= set(walk.stages)
        used |= any(is_learned(one) for one in walk.state.profiles)
        if used and seed >= 7:
            break
    assert Stage.LEARNED in reached
    assert used, "no walk said yes to it"


def at_the_check() -> State:
    """A stub bent, and about to be checked."""
    talk = Conversation()
    talk.start()
    for words in ("emt", "half inch", "typical", "ninety", "fourteen", "yes"):
        talk.say(words)
    while talk.view.verb != "CHECK":
        assert talk.stage is Stage.WORK
        talk.say("next")
    return talk.state
