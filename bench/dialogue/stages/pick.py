"""Pick a bend, alone or with any of its measures in one breath."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from bench.core.notes import Note
from bench.dialogue.always import ALWAYS, BETWEEN
from bench.dialogue.effects import View
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.measures import SIDES, given_records, sides_of, slots_of, with_values
from bench.dialogue.plans import whole_stick
from bench.dialogue.prompt import Prompt, Turn
from bench.dialogue.stages.ask import asked_next, told_values
from bench.dialogue.state import Place, Stage, State
from bench.dialogue.wording import place_title
from bench.job.model import JobBend, Number
from bench.job.records import Record, RecordKind
from bench.language.meaning import Expectation, Kind, Meaning, NamedBend

NINETY = 90.0


def pick_prompt(state: State, knowledge: Knowledge) -> Prompt:
    """Which bend."""
    names = tuple(flow.name for flow in knowledge.flows.values())
    view = View(
        verb=knowledge.verbs["choose"], number="BEND?", title=place_title(state, knowledge), lines=names
    )
    tools, own = state.now.tools, state.profiles
    only_typical = all((one.conduit, one.size) != (tools.conduit, tools.size) for one in own)
    choices = (*knowledge.flows, *(("typical",) if only_typical else ()))
    expect = Expectation(Kind.CHOICE, choices=choices, commands=(*ALWAYS, *BETWEEN))
    return Prompt((knowledge.note("pick"),), view, orderable(expect, state, knowledge))


def pick_take(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """A kind of bend: its first question is asked next. "Typical" only confirms the bender in use."""
    kind = str(meaning.value)
    if kind == "typical":
        return Turn(state, (knowledge.note("typical_bender"),))
    answers, at = _not_asked(kind, state, knowledge)
    bend = JobBend(kind, answers)
    moved = state.moved(replace(state.now, stage=Stage.ASK, at=at, bend=bend, changing=False))
    lead = Note("bend", f"{knowledge.flows[kind].name.capitalize()}.")
    return Turn(moved, (lead,), (Record(RecordKind.BEND_BEGUN, {"kind": kind}),))


def orderable(expect: Expectation, state: State, knowledge: Knowledge) -> Expectation:
    """The expectation with what may be said in one breath between bends: set-up, a bend and its measures."""
    return replace(
        further_named(expect, state.now, knowledge),
        conduits=knowledge.kinds(),
        sizes=tuple(dict.fromkeys(size for kind in knowledge.kinds() for size in knowledge.sizes(kind))),
        benders=("typical", "mine"),
        units=state.units,
    )


def further_named(expect: Expectation, place: Place, knowledge: Knowledge) -> Expectation:
    """The expectation with a bend and its measures, on the stick in hand."""
    return replace(expect, bends=named_bends(place, knowledge), sides=sides_of(place))


def named_bends(place: Place, knowledge: Knowledge) -> tuple[NamedBend, ...]:
    """Every bend with the measures that may be said with its name."""
    return tuple(
        NamedBend(kind, slots_of(JobBend(kind), place, knowledge), flow.adjective)
        for kind, flow in knowledge.flows.items()
    )


def begun(state: State, kind: str, values: Mapping[str, Number], side: str, knowledge: Knowledge) -> Turn:
    """A bend named together with measures of it: what is missing is asked, else all is read back."""
    answers, _ = _not_asked(kind, state, knowledge)
    bend = with_values(JobBend(kind, answers, roll=SIDES.get(side, 0.0)), values, knowledge)
    moved = state.moved(asked_next(replace(state.now, bend=bend, changing=False), knowledge))
    begin = Record(RecordKind.BEND_BEGUN, {"kind": kind})
    given = given_records(bend, values, knowledge)
    if moved.now.stage is Stage.READ_BACK:
        return Turn(moved, (), (begin, *given))
    name = Note("bend", f"{knowledge.flows[kind].name.capitalize()}.")
    return Turn(moved, (name, *told_values(values, knowledge)), (begin, *given))


def bend_of(kind: str, values: Mapping[str, Number], knowledge: Knowledge) -> JobBend:
    """A bend with these measures, to be gone on with once the set-up is complete."""
    return with_values(JobBend(kind), values, knowledge)


def _not_asked(
    kind: str, state: State, knowledge: Knowledge
) -> tuple[tuple[tuple[str, Number | None], ...], int]:
    """Measures answered by the ninety that is on the stick already, and which question is the first."""
    stick = state.now.stick
    if not stick.bends or not knowledge.flows[kind].with_ninety:
        return (), 0
    marks = whole_stick(state.now, state.units, knowledge).marks
    if not any(abs(mark.bend - NINETY) < 1 for mark in marks):
        return (), 0
    known = knowledge.flows[kind].with_ninety
    return tuple((key, None) for key in known), len(known)
