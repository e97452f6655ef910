"""The lesson of a first start, a card at a time: "next" goes on, "skip" or an answer leaves it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

from bench.core.notes import Note
from bench.core.plan import Hook, Mark, Reference
from bench.dialogue.always import ALWAYS
from bench.dialogue.effects import Stick, View
from bench.dialogue.events import Key
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.prompt import Prompt, Turn
from bench.dialogue.state import Aside, AsideKind, Stage, State
from bench.job.records import Record, RecordKind
from bench.language.meaning import Expectation, Kind, Meaning
from bench.pictures.scene import Scene
from bench.pictures.seated import Seat, seated

ANSWERED = (Stage.CONDUIT, Stage.PICK)
"""Where the stage's own answer ends the lesson. Elsewhere an "okay" to a card could confirm something."""

_PIPE, _AT = 40.0, Fraction(20)
"""The pipe on the cards, inches."""


def taught(state: State) -> bool:
    """Whether a card is being told."""
    return state.aside is not None and state.aside.kind is AsideKind.LESSON


def begun(state: State) -> State:
    """The state at the first card; it is never told again unasked."""
    return replace(state.settled(), aside=Aside(AsideKind.LESSON), taught=True)


def first_start(state: State) -> tuple[State, tuple[Record, ...]]:
    """The lesson for a person who has not had it; the state as it is for any other."""
    if state.taught or state.now.stage is not Stage.CONDUIT:
        return state, ()
    return begun(state), (Record(RecordKind.SETTING, {"taught": True}),)


def teach(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """The lesson again, because the person asked for it."""
    return Turn(begun(state))


def prompt(aside: Aside, under: Prompt, state: State, knowledge: Knowledge) -> Prompt:
    """One card. What the stage can be answered stays answerable where that is safe."""
    card = knowledge.lesson[aside.card]
    said = Note("lesson", card.say)
    view = View(
        verb=knowledge.verbs["learn"],
        number=card.word,
        lines=(card.say,),
        step=(aside.card + 1, len(knowledge.lesson)),
        stick=_pictured(card.point),
        scenes=_drawn(card.point, knowledge),
    )
    more = ("done", "skip_lesson")
    if state.now.stage in ANSWERED:
        expect = replace(under.expect, commands=(*under.expect.commands, *more))
    else:
        expect = Expectation(Kind.COMMAND, commands=(*ALWAYS, *more))
    return Prompt((said,), view, expect, again=(knowledge.note("next_or_skip"),))


def _pictured(point: str) -> Stick:
    """The pipe with its tape end, and the bender on a mark where the card is about the bender."""
    if not point:
        return Stick(_PIPE, ())
    mark = _mark(point)
    return Stick(_PIPE, (mark,), 0, mark.reference, mark.hook)


def _drawn(point: str, knowledge: Knowledge) -> tuple[Scene, ...]:
    """A bender put on the mark, where the card is about the bender."""
    if not point:
        return ()
    bender = next(iter(knowledge.typical.values()))
    return (seated(Seat(_mark(point), 1, (), bender, _PIPE), knowledge.words),)


def _mark(point: str) -> Mark:
    return Mark("1", _AT, Reference(point), Hook.TAPE_END, 30.0, 0.0, 1, 30.0)


def _onward(state: State, knowledge: Knowledge) -> Turn:
    """The next card; after the last one what was asked before."""
    at = _card(state) + 1
    return _at(state, at) if at < len(knowledge.lesson) else Turn(state.settled())


def _backward(state: State, knowledge: Knowledge) -> Turn:
    return _at(state, max(_card(state) - 1, 0))


def _again(state: State, knowledge: Knowledge) -> Turn:
    return _at(state, _card(state))


def _first(state: State, knowledge: Knowledge) -> Turn:
    return _at(state, 0)


def _left(state: State, knowledge: Knowledge) -> Turn:
    """The lesson is left; the question it interrupted is asked."""
    return Turn(state.settled())


def _at(state: State, card: int) -> Turn:
    return Turn(replace(state.settled(), aside=Aside(AsideKind.LESSON, card=card)))


def _card(state: State) -> int:
    return state.aside.card if state.aside is not None else 0


COMMANDS: dict[str, Callable[[State, Knowledge], Turn]] = {
    "next": _onward,
    "done": _onward,
    "back": _backward,
    "repeat": _again,
    "where_am_i": _again,
    "start_over": _first,
    "undo": _left,
    "cancel": _left,
    "skip_lesson": _left,
}
"""What these commands do while a card is told."""

KEYS = {Key.YES: "next", Key.NO: "skip_lesson"}
