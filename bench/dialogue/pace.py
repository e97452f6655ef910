"""How much of the work is one step, changed while it goes on: "step by step", "marks together"."""

from __future__ import annotations

from dataclasses import replace

from bench.dialogue import in_hand
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.prompt import Turn
from bench.dialogue.state import Stage, State
from bench.dialogue.steps.step import Doing, Pace, WorkStep
from bench.job.records import Record, RecordKind

_PARTS = {
    Doing.MARK: "mark",
    **dict.fromkeys((Doing.TURN, Doing.SEAT, Doing.BEND), "bend"),
    **dict.fromkeys((Doing.OFFER, Doing.CHECK), "check"),
    **dict.fromkeys((Doing.CUT, Doing.REAM, Doing.FIT), "end"),
}


def changed(
    state: State, said: str, knowledge: Knowledge, apart: bool | None = None, row: bool | None = None
) -> Turn:
    """The work goes on where it was, in other steps. Not between a turn of the conduit and its bend: the turn would
    be told twice."""
    place = state.now
    how = Pace(place.apart if apart is None else apart, place.row if row is None else row)
    after = replace(state, now=replace(place, apart=how.apart, row=how.row))
    if place.stage in (Stage.WORK, Stage.HOW_MUCH, Stage.MEASURED, Stage.TWEAK):
        steps = in_hand.steps_of(state, knowledge)
        now, others = steps[place.at], in_hand.steps_of(after, knowledge)
        at = _where(now, others)
        if now.doing in (Doing.SEAT, Doing.BEND) and others[at].turn and not now.turn:
            return Turn(state, (knowledge.note("not_now"),), ask=False)
        after = replace(after, now=replace(after.now, at=at))
    record = Record(RecordKind.SETTING, {"apart": how.apart, "row": how.row})
    return Turn(state.moved(after.now), (knowledge.note(said),), (record,))


def _where(now: WorkStep, steps: tuple[WorkStep, ...]) -> int:
    """The first of the steps in which what is done now is done."""
    alike = [at for at, step in enumerate(steps) if _PARTS[step.doing] == _PARTS[now.doing]]
    if now.check is not None:
        same = [at for at in alike if (steps[at].check, steps[at].owner) == (now.check, now.owner)]
    elif now.doing in (Doing.REAM, Doing.FIT):
        same = [at for at in alike if steps[at].doing is now.doing] or alike[-1:]
    else:
        same = [at for at in alike if set(steps[at].marks) & set(now.marks)]
        exact = [at for at in same if steps[at].doing is now.doing]
        same = exact if now.doing in (Doing.TURN, Doing.SEAT) and exact else same
    return (same or alike)[0]
