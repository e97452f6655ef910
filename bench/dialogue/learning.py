"""Learning the bender in hand: every check that was read is evidence; what is learned is offered, never just used."""

from __future__ import annotations

from dataclasses import replace

from bench.core.bender import Bender
from bench.core.evidence import evidence_of
from bench.core.learned import LEAST_BENDS, worth_offering
from bench.core.notes import BenchError
from bench.dialogue.effects import Effect, ForgetBender, KeepBender, KeepLearning
from bench.dialogue.in_hand import steps_of
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.plans import setup_of, whole_stick
from bench.dialogue.prompt import Turn
from bench.dialogue.state import Place, Stage, State
from bench.job.layout import bender_of
from bench.job.learning import Learning, estimate_of, is_learned, learned_name, learning_of, with_learning
from bench.job.model import Number, Tools
from bench.job.records import Record, RecordKind


def follow(turn: Turn, knowledge: Knowledge) -> Turn:
    """What a turn that moved teaches: a bend whose checks are over, or about to be corrected, as it first came out.

    When enough is known after a bend, it is offered before anything else is asked.
    """
    turn = _taught(turn, knowledge)
    place = turn.state.now
    if place.stage is not Stage.AFTER or not _went_on(turn):
        return turn
    if offer(turn.state, knowledge) is None:
        return turn
    return replace(turn, state=replace(turn.state, now=replace(place, stage=Stage.LEARNED)))


def _taught(turn: Turn, knowledge: Knowledge) -> Turn:
    left = turn.state.past[-1] if turn.state.past else None
    if left is None:
        return turn
    owner = _owner_read(left, turn, knowledge)
    if owner is None:
        return turn
    found = _evidence(left, owner, turn.state, knowledge)
    if found is None:
        return turn
    record = Record(RecordKind.LEARNED, {"bender": found.bender, "bends": found.bends})
    state = replace(turn.state, learned=with_learning(turn.state.learned, found))
    return replace(
        turn, state=state, records=(*turn.records, record), effects=(KeepLearning(found), *turn.effects)
    )


def _owner_read(left: Place, turn: Turn, knowledge: Knowledge) -> int | None:
    """The bend of the stick whose first readings are complete with this turn; None when none is."""
    place = turn.state.now
    if left.stage not in (Stage.WORK, Stage.TWEAK) or not left.observed:
        return None
    steps = steps_of(replace(turn.state, now=replace(left, stage=Stage.WORK)), knowledge)
    owner = steps[left.at].owner if left.at < len(steps) else None
    if owner is None:
        return None
    if left.stage is Stage.TWEAK:
        mended = place.stage is Stage.WORK and any(one.mended for one in place.stick.bends[owner].readings)
        return owner if mended and not _mended(left, owner) else None
    on = left.at + 1 < len(steps) and steps[left.at + 1].owner == owner
    return owner if _went_on(turn) and not on else None


def _mended(place: Place, owner: int) -> bool:
    return any(reading.mended for reading in place.stick.bends[owner].readings)


def _went_on(turn: Turn) -> bool:
    """Whether a step was done in this turn."""
    return any(record.kind is RecordKind.STEP_DONE for record in turn.records)


def _evidence(place: Place, owner: int, state: State, knowledge: Knowledge) -> Learning | None:
    setup = setup_of(place, state.units, knowledge)
    stick = whole_stick(place, state.units, knowledge)
    if owner >= len(stick.bends):
        return None
    known = learning_of(state.learned, place.stick.tools)
    mended = _mended(place, owner)
    read, fits = _readings(place, owner)
    bend = (str(place.job_number), place.stick.name, str(place.stick.pipe), str(owner))
    so_far = estimate_of(known, knowledge.typical[known.conduit, known.size], state.profiles)
    try:
        found = evidence_of(bend, stick.bends[owner].plan, setup, read, fits, so_far, mended)
    except BenchError:
        return None
    return None if found is None else known.with_(found)


def _readings(place: Place, owner: int) -> tuple[dict[str, Number], set[str]]:
    """What is known of a bend as it lies, and what of it was only said to fit. What was read before it was corrected is
    of another shape."""
    readings = place.stick.bends[owner].readings
    last = max((index for index, one in enumerate(readings) if one.mended), default=-1)
    before = {one.check for one in readings[: last + 1]}
    since = {one.check for one in readings[last + 1 :]}
    read = {key: value for key, value in place.observed if key in since or key not in before}
    return read, set(read) - since


def offer(state: State, knowledge: Knowledge) -> Bender | None:
    """What was learned of the bender in hand, when enough bends speak for it since the last answer."""
    known = learning_of(state.learned, state.now.tools)
    if known.answered and known.bends < known.answered + LEAST_BENDS:
        return None
    return worth(state, knowledge)


def worth(state: State, knowledge: Knowledge) -> Bender | None:
    """What was learned of the bender in hand, when it would make another bend than the numbers in use."""
    tools = state.now.tools
    known = learning_of(state.learned, tools)
    found = estimate_of(known, knowledge.typical[tools.conduit, tools.size], state.profiles)
    return worth_offering(found, bender_of(tools, knowledge), learned_name(known.bender))


def answered(state: State, learning: Learning) -> tuple[State, KeepLearning]:
    """The offer was answered with what is known now: the next comes after as many bends again."""
    told = replace(learning, answered=learning.bends)
    return replace(state, learned=with_learning(state.learned, told)), KeepLearning(told)


def put_back(state: State) -> Turn | None:
    """The numbers from before anything was learned, in place of those learned; None when none are in use."""
    profile = state.now.tools.profile
    if profile is None or not is_learned(profile):
        return None
    known = learning_of(state.learned, state.now.tools)
    kept = tuple(one for one in state.profiles if one != profile)
    own = [one for one in kept if (one.name, one.conduit, one.size) == known.key]
    tools = Tools(profile.conduit, profile.size, own[-1] if own else None)
    moved = state.moved(replace(state.now, tools=tools))
    after, keep = answered(replace(moved, profiles=kept), known)
    record = Record(RecordKind.LEARNED, {"bender": known.bender, "put_back": profile.name})
    return Turn(after, (), (record,), (ForgetBender(profile), keep))


def undone(after: State, before: State) -> tuple[State, tuple[Effect, ...]]:
    """Undo of a yes, or of what put learned numbers away: the bender in hand before is the kept one again."""
    old, new = before.now.tools.profile, after.now.tools.profile
    if old == new:
        return before, ()
    state = before
    effects: list[Effect] = []
    if new is not None and before.now.stage is Stage.LEARNED:
        state = replace(state, profiles=tuple(one for one in state.profiles if one != new))
        effects.append(ForgetBender(new))
    if old is not None and is_learned(old):
        state = replace(state, profiles=(*state.profiles, old))
        effects.append(KeepBender(old))
    return state, tuple(effects)
