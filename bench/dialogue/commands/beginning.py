"""What begins something: a further bend, another stick or pipe, other tools, a measurement on site."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from bench.dialogue.knowledge import Knowledge
from bench.dialogue.prompt import Command, Turn
from bench.dialogue.stages import learned, progress, rack, remake, set_up, site, sticks
from bench.dialogue.state import Stage, State
from bench.job.model import JobBend
from bench.language.meaning import Meaning


def to_stage(stage: Stage) -> Command:
    """To a stage that goes back to where it was asked for."""

    def move(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
        return Turn(state.moved(replace(state.now, stage=stage, at=0, came_from=state.now.stage)))

    return move


def ask_learned(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """What the checks have taught about the bender."""
    return learned.asked(state, knowledge)


def unlearn(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Back to the bender's numbers as they were before it was learned."""
    return learned.unlearned(state, knowledge)


def begin_site(kind: str) -> Command:
    """A measurement on site, by its key in `bench.core.site.SITES`."""

    def begin(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
        return site.begun(state, kind)

    return begin


def other_tools(stage: Stage) -> Command:
    """Other conduit or another bender. The stick in hand is put away first: its marks are for the old tools."""

    def move(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
        place = state.now
        moved = replace(place, stage=stage, at=0, came_from=place.stage)
        if not place.stick.bends:
            return Turn(state.moved(moved))
        fresh, records = set_up.put_away(moved)
        return Turn(state.moved(fresh), (), records)

    return move


def same_again(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """The next pipe of a rack; of parallel bends the spacing is known already."""
    spacing = state.now.stick.bends[-1].measures.get("spacing")
    if isinstance(spacing, Fraction):
        return rack.next_pipe(state, spacing, knowledge)
    return Turn(state.moved(replace(state.now, stage=Stage.RACK)))


def add_bend(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Another bend on this stick. A bend that is being read back wants its yes first."""
    if state.now.stage is Stage.WORK:
        return progress.further_bend(state, knowledge)
    if state.now.stage is not Stage.READ_BACK:
        return Turn(state.moved(replace(state.now, stage=Stage.PICK, at=0, bend=JobBend())))
    return Turn(state, (knowledge.note("yes_first"),))


def make_again(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """The same stick on a fresh length."""
    return remake.made_again(state, knowledge)


def new_stick(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """The stick in hand is put away; the next one begins."""
    return sticks.new_stick(state, knowledge)
