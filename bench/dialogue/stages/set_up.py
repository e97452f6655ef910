"""Set-up: which conduit, which size, which bender. Remembered, and asked again only to confirm."""

from __future__ import annotations

from dataclasses import replace

from bench.core.notes import Note
from bench.dialogue.always import ALWAYS, NAMES, NAMING, UNITS
from bench.dialogue.effects import View
from bench.dialogue.in_hand import steps_of
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.prompt import Prompt, Turn
from bench.dialogue.stages import pick
from bench.dialogue.stages.sticks import new_stick, next_name, stick_done
from bench.dialogue.state import Place, Stage, State
from bench.dialogue.wording import size_text, tools_title
from bench.job.model import JobBend, JobStick, Profile, Tools
from bench.job.records import Record, RecordKind
from bench.language.meaning import Expectation, Kind, Meaning
from bench.language.speak import spoken_size


def conduit_prompt(state: State, knowledge: Knowledge) -> Prompt:
    """Which kind of conduit."""
    kinds = knowledge.kinds()
    view = View(
        verb=knowledge.verbs["choose"],
        number="PIPE?",
        title=knowledge.verbs["set_up"],
        lines=tuple(map(knowledge.word, kinds)),
    )
    expect = Expectation(Kind.CHOICE, choices=kinds, commands=(*ALWAYS, *UNITS, *NAMING))
    return Prompt((knowledge.note("conduit"),), view, pick.orderable(expect, state, knowledge))


def conduit_take(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """A kind of conduit: the size is asked next."""
    tools = Tools(conduit=str(meaning.value))
    lead = Note("conduit", f"{knowledge.word(tools.conduit)}.")
    before = state.now.tools
    turn = Turn(state.moved(replace(state.now, stage=Stage.SIZE, tools=tools)), (lead,))
    if before.conduit or before.size not in knowledge.sizes(tools.conduit):
        return turn
    sized = size_take(turn.state, Meaning(Kind.SIZE, before.size), knowledge)
    return replace(sized, state=replace(sized.state, past=turn.state.past), lead=(lead, *sized.lead))


def size_prompt(state: State, knowledge: Knowledge) -> Prompt:
    """Which trade size of that conduit."""
    sizes = knowledge.sizes(state.now.tools.conduit)
    view = View(
        verb=knowledge.verbs["choose"],
        number="SIZE?",
        title=tools_title(state.now.tools, knowledge),
        lines=sizes,
    )
    expect = Expectation(Kind.SIZE, choices=sizes, commands=(*ALWAYS, *UNITS), units=state.units)
    return Prompt((knowledge.note("size"),), view, pick.orderable(expect, state, knowledge))


def size_take(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """A trade size: the bender is asked next where there is one to choose."""
    tools = replace(state.now.tools, size=str(meaning.value), profile=None)
    lead = Note("size", f"{spoken_size(tools.size)}.")
    moved = state.moved(replace(state.now, stage=Stage.BENDER, tools=tools))
    if profile_for(moved) is not None:
        return Turn(moved, (lead,))
    turn = set_up(moved, None, (lead,), knowledge)
    return replace(turn, state=replace(turn.state, past=moved.past))


def bender_prompt(state: State, knowledge: Knowledge) -> Prompt:
    """Whose numbers for the bender: typical ones, the person's own, or those of a test bend now."""
    choices = ("typical", "mine", "calibrate_bender")
    lines = ("typical", "mine", "calibrate")
    view = View(
        verb=knowledge.verbs["choose"],
        number="BENDER?",
        title=tools_title(state.now.tools, knowledge),
        lines=lines,
    )
    expect = Expectation(Kind.CHOICE, choices=choices, commands=ALWAYS, units=state.units)
    bends = pick.named_bends(state.now, knowledge)
    return Prompt((knowledge.note("bender"),), view, replace(expect, bends=bends))


def bender_take(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """A choice of bender: a bend is picked next, or a test bend is made."""
    if meaning.value == "calibrate_bender":
        return Turn(state.moved(replace(state.now, stage=Stage.TEST_BEND, at=0, trial=())))
    if meaning.value == "typical":
        return set_up(state, None, (knowledge.note("typical_bender"),), knowledge)
    mine = profile_for(state)
    if mine is None:
        tools = state.now.tools
        return Turn(
            state,
            (
                knowledge.note(
                    "no_profile", size=spoken_size(tools.size), conduit=knowledge.word(tools.conduit)
                ),
            ),
        )
    return set_up(state, mine, (), knowledge)


def again_prompt(state: State, knowledge: Knowledge) -> Prompt:
    """The set-up remembered from last time: still the same?"""
    tools = state.now.tools
    bender = tools.profile.name if tools.profile else knowledge.word("typical")
    ask = knowledge.note(
        "setup_again", size=spoken_size(tools.size), conduit=knowledge.word(tools.conduit), bender=bender
    )
    view = View(
        verb=knowledge.verbs["confirm"], number=size_text(tools.size), title=tools_title(tools, knowledge)
    )
    expect = Expectation(Kind.YESNO, choices=tuple(knowledge.flows), commands=(*ALWAYS, *UNITS, *NAMES))
    return Prompt((ask,), view, pick.orderable(expect, state, knowledge))


def again_take(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Yes, or the bend, goes on with it; no begins the set-up again."""
    if meaning.kind is Kind.CHOICE:
        return pick.pick_take(state, meaning, knowledge)
    stage = Stage.PICK if meaning.value else Stage.CONDUIT
    return _first_listed(Turn(state.moved(replace(state.now, stage=stage))), knowledge)


def resume_prompt(state: State, knowledge: Knowledge) -> Prompt:
    """An unfinished job was found: go on from there?"""
    return Prompt(
        (_left_at(state, knowledge),),
        View(verb=knowledge.verbs["confirm"], number="GO ON?", title=knowledge.verbs["resume"]),
        Expectation(Kind.YESNO, commands=ALWAYS),
    )


def _left_at(state: State, knowledge: Knowledge) -> Note:
    """Where the person was when the job was left."""
    place = state.now
    if place.came_from is Stage.WORK:
        total = len(steps_of(replace(state, now=replace(place, stage=Stage.WORK)), knowledge))
        return knowledge.note("resume_step", step=place.at + 1, total=total)
    if place.bend.kind:
        return knowledge.note("resume_bend", bend=knowledge.flows[place.bend.kind].name.capitalize())
    return knowledge.note("resume")


def resume_take(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Yes goes back to the place left; no keeps what was done and picks another bend."""
    place = state.now
    if meaning.value and place.came_from is not None:
        back = replace(place, stage=place.came_from, came_from=None)
        return Turn(replace(state.settled(), now=back))
    stage = Stage.PICK if place.tools.complete else Stage.CONDUIT
    fresh = replace(
        place,
        stage=stage,
        at=0,
        bend=JobBend(),
        stick=place.stick.unbegun(),
        came_from=None,
        changing=False,
        measured=None,
        waiting=(),
        fault="",
        site="",
        trial=(),
    )
    return Turn(state.moved(fresh))


def set_up(state: State, profile: Profile | None, lead: tuple[Note, ...], knowledge: Knowledge) -> Turn:
    """The tools are complete: remember them and pick a bend."""
    tools = replace(state.now.tools, profile=profile)
    detail: dict[str, object] = {
        "conduit": tools.conduit,
        "size": tools.size,
        "bender": profile.name if profile else "typical",
    }
    moved = state.moved(replace(state.now, stage=Stage.PICK, tools=tools, trial=()))
    turn = _first_listed(Turn(moved, lead, (Record(RecordKind.SET_UP, detail),)), knowledge)
    return _named_before(turn, state.now.bend, knowledge)


def _named_before(turn: Turn, bend: JobBend, knowledge: Knowledge) -> Turn:
    """Go on with a bend that was named before the set-up was complete."""
    if not bend.kind or turn.state.now.stage is not Stage.PICK:
        return turn
    going = pick.begun(turn.state, bend.kind, bend.measures, "", knowledge)
    state = replace(going.state, past=turn.state.past)
    return replace(
        going, state=state, lead=(*turn.lead, *going.lead), records=(*turn.records, *going.records)
    )


def put_away(place: Place) -> tuple[Place, tuple[Record, ...]]:
    """The stick in hand put away: its marks are for the tools it was begun with."""
    fresh = replace(
        place,
        bend=JobBend(),
        stick=JobStick(next_name(place), run=place.stick.run),
        done=(*place.done, place.stick),
        observed=(),
        measured=None,
        uncut=False,
    )
    return fresh, (stick_done(place),)


def tools_said(tools: Tools, knowledge: Knowledge) -> str:
    """Conduit and size as they are said."""
    size = spoken_size(tools.size) if tools.size else ""
    return f"{size} {knowledge.word(tools.conduit)}".strip()


def _first_listed(turn: Turn, knowledge: Knowledge) -> Turn:
    """With a list of sticks the first of them is taken up at once."""
    state = turn.state
    if state.now.stage is not Stage.PICK or state.now.queued >= len(state.queue):
        return turn
    listed = new_stick(state, knowledge)
    return replace(listed, lead=(*turn.lead, *listed.lead), records=(*turn.records, *listed.records))


def profile_for(state: State) -> Profile | None:
    """The person's newest bender for the conduit in hand."""
    tools = state.now.tools
    fits = [p for p in state.profiles if (p.conduit, p.size) == (tools.conduit, tools.size)]
    return fits[-1] if fits else None
