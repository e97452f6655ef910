"""The offer of what was learned: take-up, springback and the hand, used only after a yes."""

from __future__ import annotations

from dataclasses import replace

from bench.core.bender import Bender
from bench.core.learned import LEAST_BENDS
from bench.core.lengths import round_to
from bench.core.notes import Note
from bench.dialogue import learning
from bench.dialogue.always import ALWAYS
from bench.dialogue.effects import KeepBender, View
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.prompt import Prompt, Turn
from bench.dialogue.questions import value_text
from bench.dialogue.state import Stage, State
from bench.dialogue.wording import lines, tools_title
from bench.job.layout import bender_of, profile_of
from bench.job.learning import estimate_of, learning_of
from bench.job.records import Record, RecordKind
from bench.language.meaning import Expectation, Kind, Meaning


def learned_prompt(state: State, knowledge: Knowledge) -> Prompt:
    """What was learned, and whether to use it."""
    bender = learning.worth(state, knowledge)
    if bender is None:
        return _nothing_prompt(state, knowledge)
    used = bender_of(state.now.tools, knowledge)
    notes = _told(bender, used, knowledge)
    spread = _spread(state, knowledge)
    ask = knowledge.note("use_learned")
    view = View(
        verb=knowledge.verbs["confirm"],
        number=value_text(bender.take_up, state.units),
        title=tools_title(state.now.tools, knowledge),
        lines=lines((*notes, spread), state.units),
    )
    return Prompt((*notes, ask), view, Expectation(Kind.YESNO, commands=ALWAYS), again=(ask,))


def _nothing_prompt(state: State, knowledge: Knowledge) -> Prompt:
    """The numbers in use are those learned: nothing to decide, only to go on."""
    known = _count(state)
    note = knowledge.note("learned_nothing", count=known)
    view = View(
        verb=knowledge.verbs["done"],
        number=str(known),
        title=tools_title(state.now.tools, knowledge),
        lines=lines((note, _spread(state, knowledge)), state.units),
    )
    return Prompt((note,), view, Expectation(Kind.YESNO, commands=ALWAYS))


def _told(bender: Bender, used: Bender, knowledge: Knowledge) -> tuple[Note, ...]:
    """What differs from the numbers in use, for the voice: each number that a yes puts into use."""
    notes = []
    if bender.springback != used.springback:
        notes.append(
            knowledge.note("learned_both", take_up=bender.take_up, springback=float(bender.springback))
        )
    else:
        notes.append(knowledge.note("learned_take_up", take_up=bender.take_up))
    if bender.gain != used.gain:
        notes.append(knowledge.note("learned_gain", gain=bender.gain))
    if bender.hand != used.hand:
        key = "learned_over" if bender.hand > 0 else "learned_under" if bender.hand < 0 else "learned_even"
        notes.append(knowledge.note(key, hand=abs(bender.hand)))
    return tuple(notes)


def _spread(state: State, knowledge: Knowledge) -> Note:
    """The spread of what was learned, and from how many bends."""
    known = learning_of(state.learned, state.now.tools)
    found = estimate_of(known, knowledge.typical[known.conduit, known.size], state.profiles)
    return knowledge.note(
        "learned_spread",
        count=found.bends,
        take_up=round_to(found.spread.take_up),
        springback=round(found.spread.springback, 1),
    )


def learned_take(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Yes uses what was learned from the next stick on; no keeps the numbers in use."""
    bender = learning.worth(state, knowledge)
    home = Stage.AFTER if state.now.stick.bends else Stage.PICK
    known = learning_of(state.learned, state.now.tools)
    if not meaning.value or bender is None:
        after, keep = learning.answered(state.moved(replace(state.now, stage=home)), known)
        return Turn(after, (), (), (keep,))
    tools = state.now.tools
    profile = profile_of(bender, tools)
    others = tuple(
        one
        for one in state.profiles
        if (one.name, one.conduit, one.size) != (profile.name, profile.conduit, profile.size)
    )
    moved = state.moved(replace(state.now, stage=home, tools=replace(tools, profile=profile)))
    taken = replace(known, taken=(*known.taken, profile))
    after, keep = learning.answered(replace(moved, profiles=(*others, profile)), taken)
    detail: dict[str, object] = {
        "conduit": profile.conduit,
        "size": profile.size,
        "name": profile.name,
        "take_up": str(profile.take_up),
        "gain": str(profile.gain),
        "springback": profile.springback,
        "hand": profile.hand,
    }
    record = Record(RecordKind.LEARNED, detail)
    return Turn(after, (knowledge.note("learned_used"),), (record,), (KeepBender(profile), keep))


def asked(state: State, knowledge: Knowledge) -> Turn:
    """ "What have you learned": the offer where there is one, else how much is known."""
    if learning.worth(state, knowledge) is not None:
        return Turn(state.moved(replace(state.now, stage=Stage.LEARNED)))
    count = _count(state)
    if count < LEAST_BENDS:
        return Turn(state, (knowledge.note("learned_few", count=count, least=LEAST_BENDS),), ask=False)
    return Turn(state, (knowledge.note("learned_nothing", count=count),), ask=False)


def unlearned(state: State, knowledge: Knowledge) -> Turn:
    """ "Use the old numbers": those from before anything was learned."""
    turn = learning.put_back(state)
    if turn is None:
        return Turn(state, (knowledge.note("not_learned"),), ask=False)
    return replace(turn, lead=(knowledge.note("old_numbers"),))


def _count(state: State) -> int:
    return learning_of(state.learned, state.now.tools).bends
