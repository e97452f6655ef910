"""What is measured on site: from box to box, a bend or a curve to match, a rack around one center, two bends in one,
holes. It leads to a bend or to a number."""

from __future__ import annotations

from dataclasses import replace

from bench.core.notes import BenchError, Note
from bench.core.plan import Measure
from bench.core.site import SITES, Answer, LeadsTo, work_out_site
from bench.dialogue.always import ALWAYS
from bench.dialogue.effects import View
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.plans import setup_of
from bench.dialogue.prompt import Prompt, Turn
from bench.dialogue.questions import as_number, corrected_value, question, value_note, value_text
from bench.dialogue.stages import pick
from bench.dialogue.stages.set_up import put_away
from bench.dialogue.state import Place, Stage, State
from bench.dialogue.wording import lines, tools_title
from bench.job.records import Record, RecordKind
from bench.job.stored import number_to_json
from bench.language.meaning import Expectation, Kind, Meaning

BETWEEN_BOXES = ("straight", "offset", "saddle3", "saddle4", "stub", "kick")
"""What can go between two boxes: keys of phrases; `boxes-KEY` is the site."""
_TOLD_FIRST = {"match": "match_offset", "concentric": "first_of_rack"}
"""Sites whose answer is told before its bend is offered, and how that is asked."""
_SAID = 2
"""Sentences of an answer that are said; all are shown."""


def boxes_prompt(state: State, knowledge: Knowledge) -> Prompt:
    """What goes between the two boxes."""
    names = tuple(knowledge.flows[key].name if key in knowledge.flows else key for key in BETWEEN_BOXES)
    view = View(
        verb=knowledge.verbs["choose"],
        number="BETWEEN?",
        title=tools_title(state.now.tools, knowledge),
        lines=names,
    )
    expect = Expectation(Kind.CHOICE, choices=BETWEEN_BOXES, commands=ALWAYS)
    return Prompt((knowledge.note("boxes"),), view, expect)


def boxes_take(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Its measures are asked next."""
    return begun(state, f"boxes-{meaning.value}")


def begun(state: State, site: str) -> Turn:
    """The first measure of a site."""
    place = replace(state.now, stage=Stage.SITE, site=site, at=0, trial=(), came_from=state.now.stage)
    return Turn(state.moved(place))


def site_prompt(state: State, knowledge: Knowledge) -> Prompt:
    """The measure in hand."""
    place, asked = state.now, _asked(state.now.site, knowledge)
    this = asked[place.at]
    flow = knowledge.sites[place.site]
    ask = flow.ask.get(this.key, knowledge.questions[this.key].ask)
    step = (place.at + 1, len(asked))
    title = tools_title(place.tools, knowledge)
    return question(state, knowledge, this, ask, title, step, asked[place.at - 1] if place.at else None)


def site_take(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """One measure, or the one before corrected; after the last comes what follows from them."""
    place, asked = state.now, _asked(state.now.site, knowledge)
    if meaning.corrects and place.at > 0 and meaning.value != "skip":
        return _corrected(state, asked[place.at - 1], meaning, knowledge)
    this = asked[place.at]
    value = None if meaning.value == "skip" else as_number(this, meaning.value)
    record = Record(RecordKind.VALUE_GIVEN, {"measure": this.key, "value": number_to_json(value)})
    trial = (*place.trial[: place.at], (this.key, value))
    after = replace(place, trial=trial, at=place.at + 1)
    if after.at < len(asked):
        return Turn(state.moved(after), (value_note(value, knowledge),), (record,))
    found = replace(after, stage=Stage.SITE_FOUND, at=0)
    turn = _bends_or_told(state, found, knowledge)
    return replace(turn, lead=(value_note(value, knowledge), *turn.lead), records=(record, *turn.records))


def _corrected(state: State, before: Measure, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """ "No, nine and a half" corrects the measure before; the question itself is asked again."""
    value = corrected_value(before, meaning, knowledge)
    if isinstance(value, Note):
        return Turn(state, (value,))
    trial = (*state.now.trial[: state.now.at - 1], (before.key, value))
    return Turn(state.moved(replace(state.now, trial=trial)), (knowledge.note("corrected", value=value),))


def _bends_or_told(state: State, found: Place, knowledge: Knowledge) -> Turn:
    """From box to box the bends are read back at once, as measures of the conduit; all else is told first."""
    try:
        answer = _answer(replace(state, now=found), knowledge)
    except BenchError:
        return Turn(state.moved(found))
    if answer.leads_to is None or found.site in _TOLD_FIRST:
        return Turn(state.moved(found))
    turn = _bent_next(state, found, answer.leads_to, knowledge)
    return replace(turn, lead=(*answer.notes, *turn.lead))


def found_prompt(state: State, knowledge: Knowledge) -> Prompt:
    """What follows from the measures, or why nothing can."""
    title = tools_title(state.now.tools, knowledge)
    try:
        answer = _answer(state, knowledge)
    except BenchError as error:
        view = View(
            verb=knowledge.verbs["measure"],
            number="AGAIN",
            title=title,
            lines=lines((error.message, error.remedy), state.units),
        )
        return Prompt(
            (error.message, error.remedy), view, Expectation(Kind.COMMAND, commands=(*ALWAYS, "change"))
        )
    view = View(
        verb=knowledge.verbs["done"],
        number=value_text(answer.headline, state.units),
        title=title,
        lines=lines(answer.notes, state.units),
    )
    if answer.leads_to is None:
        expect = Expectation(Kind.COMMAND, commands=(*ALWAYS, "done", "change"))
        return Prompt((*answer.notes, knowledge.note("site_next")), view, expect)
    ask = knowledge.note(_TOLD_FIRST[state.now.site])
    expect = Expectation(Kind.YESNO, commands=(*ALWAYS, "change"))
    said = (*answer.notes[:_SAID], ask)
    return Prompt(said, replace(view, verb=knowledge.verbs["confirm"]), expect, again=(ask,))


def found_take(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Yes begins the bend that matches; no leaves it at the number."""
    if not meaning.value:
        return left(state)
    leads_to = _answer(state, knowledge).leads_to
    return left(state) if leads_to is None else _bent_next(state, state.now, leads_to, knowledge)


def left(state: State) -> Turn:
    """Back to where one is between bends."""
    home = Stage.AFTER if state.now.stick.bends else Stage.PICK
    return Turn(state.moved(replace(state.now, stage=home, at=0, site="", trial=(), came_from=None)))


def _bent_next(state: State, place: Place, leads_to: LeadsTo, knowledge: Knowledge) -> Turn:
    """The bends that follow: the first is read back, or asked for what is missing; the rest wait.

    From box to box is a stick of its own; one with bends on it is put away first.
    """
    records: tuple[Record, ...] = ()
    if place.stick.bends and place.site not in _TOLD_FIRST:
        place, records = put_away(place)
    first, *rest = leads_to.bends
    stick = replace(place.stick, finish=leads_to.finish) if leads_to.finish is not None else place.stick
    waiting = tuple(
        replace(pick.bend_of(lead.kind, lead.measures, knowledge), roll=lead.roll) for lead in rest
    )
    ready = replace(place, stick=stick, waiting=waiting, site="", trial=(), at=0, came_from=None)
    turn = pick.begun(replace(state, now=ready), first.kind, first.measures, "", knowledge)
    return replace(turn, state=state.moved(turn.state.now), records=(*records, *turn.records))


def _asked(site: str, knowledge: Knowledge) -> tuple[Measure, ...]:
    known = {each.key: each for each in SITES[site].measures}
    return tuple(known[key] for key in knowledge.sites[site].asked)


def _answer(state: State, knowledge: Knowledge) -> Answer:
    """What core makes of the measures. Raises BenchError."""
    given = {key: value for key, value in state.now.trial if value is not None}
    setup = setup_of(state.now, state.units, knowledge)
    return work_out_site(state.now.site, given, setup, knowledge.fittings)
