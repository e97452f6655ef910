"""After a bend: the same again, another on this stick, a new stick, or the end of the job."""

from __future__ import annotations

from bench.core.cautions import Step
from bench.core.notes import Note
from bench.dialogue.always import ALWAYS, BETWEEN
from bench.dialogue.effects import View
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.plans import whole_stick
from bench.dialogue.prompt import Prompt
from bench.dialogue.scenes import finished
from bench.dialogue.stages.pick import orderable
from bench.dialogue.state import Place, State
from bench.dialogue.steps.ending import support
from bench.dialogue.wording import lines, place_title
from bench.language.lexicon import offered
from bench.language.meaning import Expectation, Kind

_NEXT = ("same_again", "add_bend", "new_stick", "finish")
"""What there is to choose from when a bend is made: shown large."""


def after_prompt(state: State, knowledge: Knowledge) -> Prompt:
    """Fit it, and what next."""
    stick = whole_stick(state.now, state.units, knowledge)
    used = stick.total_degrees
    words = knowledge.note("degrees_left", used=used, left=knowledge.limits.bends.left(used))
    ask = (*_fit(state.now, knowledge), knowledge.note("after"))
    cautions = () if state.now.apart else knowledge.cautions.at(Step.FIT)
    shown = (*ask[:-1], words) if state.now.apart else (*ask[:-1], words, support(stick, knowledge))
    view = View(
        verb=knowledge.verbs["next"],
        number=knowledge.words["done"],
        choices=tuple(offered(knowledge.lexicon.commands[key][0]) for key in _NEXT),
        title=place_title(state, knowledge),
        lines=lines(shown, state.units),
        cautions=tuple(each.written for each in cautions),
        scenes=finished(stick, knowledge),
    )
    commands = (*ALWAYS, *BETWEEN, "same_again", "add_bend", "change", "remake")
    expect = Expectation(Kind.COMMAND, commands=commands)
    again = (knowledge.note("after"),)
    return Prompt(ask, view, orderable(expect, state, knowledge), again=again)


def _fit(place: Place, knowledge: Knowledge) -> tuple[Note, ...]:
    """To fit it; a bend that goes two ways at once is turned so that both come out."""
    rolled = next(
        (bend.measures for bend in reversed(place.stick.bends) if {"rise", "roll"} <= bend.measures.keys()),
        None,
    )
    if rolled is not None:
        return (knowledge.note("fit_rolled", rise=rolled["rise"], roll=rolled["roll"]),)
    return () if place.apart else (knowledge.note("fit_it"),)
