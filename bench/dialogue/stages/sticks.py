"""The next stick: a new one, one from a list, one like that of an earlier job, one of a new run."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from bench.core.notes import Note
from bench.core.plan import Measure, Quantity
from bench.dialogue.effects import View
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.prompt import Prompt, Turn
from bench.dialogue.questions import as_number, expectation
from bench.dialogue.state import Place, Stage, State
from bench.dialogue.wording import place_title
from bench.job.model import JobBend, JobStick, Tools
from bench.job.records import Record, RecordKind
from bench.language.meaning import Meaning
from bench.language.speak import spoken_size

RUN = Measure("run", Quantity.COUNT, Fraction(1), Fraction(99))


def run_prompt(state: State, knowledge: Knowledge) -> Prompt:
    """Which number the new run gets."""
    view = View(verb=knowledge.verbs["choose"], number="RUN?", title=place_title(state, knowledge))
    return Prompt((knowledge.note("run"),), view, expectation(RUN, state.units, commands=()))


def run_take(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """A new run begins with a new stick."""
    number = int(as_number(RUN, meaning.value))
    turn = new_stick(state, knowledge)
    place = replace(turn.state.now, run=number, run_name="")
    begun = Record(RecordKind.RUN_BEGUN, {"run": number})
    return replace(
        turn,
        state=replace(turn.state, now=place),
        lead=(knowledge.note("run_is", run=number),),
        records=(*turn.records, begun),
    )


def new_stick(state: State, knowledge: Knowledge) -> Turn:
    """The stick in hand is put away; the next comes from the list, if any. After a job, a new job begins."""
    place = replace(next_job(state.now), uncut=False)
    done = place.sticks
    record = (stick_done(place),) if place.stick.bends else ()
    if place.again:
        return _like_before(state, place, done, record, knowledge)
    if place.queued < len(state.queue):
        return _from_list(state, place, done, record, knowledge)
    name = next_name(place) if place.stick.bends else place.stick.name
    fresh = replace(
        place, stage=Stage.PICK, at=0, bend=JobBend(), stick=JobStick(name), done=done, observed=()
    )
    return Turn(state.moved(fresh), (knowledge.note("new_stick", name=name),), record)


def _from_list(
    state: State, place: Place, done: tuple[JobStick, ...], record: tuple[Record, ...], knowledge: Knowledge
) -> Turn:
    """The next stick of the list: each of its bends is read back before it is marked."""
    listed = state.queue[place.queued]
    after = replace(place, done=done, queued=place.queued + 1)
    told = knowledge.note("queued", stick=listed.name)
    return _to_read_back(state, after, listed, told, record, knowledge)


def _like_before(
    state: State, place: Place, done: tuple[JobStick, ...], record: tuple[Record, ...], knowledge: Knowledge
) -> Turn:
    """The next stick of an earlier job, under a name of its own and in the run in hand."""
    first, *rest = place.again
    stick = replace(first, name=next_name(replace(place, done=done)), run=place.run_label)
    after = replace(place, done=done, again=tuple(rest), again_from=place.again_from if rest else "")
    told = knowledge.note("found_stick", name=place.again_from, stick=first.name)
    return _to_read_back(state, after, stick, told, record, knowledge)


def _to_read_back(
    state: State, place: Place, listed: JobStick, told: Note, record: tuple[Record, ...], knowledge: Knowledge
) -> Turn:
    """A stick whose bends are known: its first one is read back, on its own conduit and bender."""
    tools, changed = _listed_tools(state, listed, knowledge)
    fresh = replace(
        place,
        tools=tools,
        stage=Stage.READ_BACK,
        at=0,
        bend=listed.bends[0],
        waiting=listed.bends[1:],
        stick=replace(listed, bends=()),
        observed=(),
    )
    return Turn(state.moved(fresh), (told, *changed), record)


def _listed_tools(state: State, listed: JobStick, knowledge: Knowledge) -> tuple[Tools, tuple[Note, ...]]:
    """What a listed stick is bent from: what the list says, with the person's own bender where there is one;
    without a word of the list, what is in hand. A change is told."""
    in_hand, wanted = state.now.tools, listed.tools
    same = (wanted.conduit, wanted.size) in (("", ""), (in_hand.conduit, in_hand.size))
    if same and wanted.profile in (None, in_hand.profile):
        return in_hand, ()
    own = [one for one in state.profiles if (one.conduit, one.size) == (wanted.conduit, wanted.size)]
    tools = replace(wanted, profile=wanted.profile or (own[-1] if own else None))
    bender = tools.profile.name if tools.profile else knowledge.word("typical")
    told = knowledge.note(
        "listed_tools", size=spoken_size(tools.size), conduit=knowledge.word(tools.conduit), bender=bender
    )
    return tools, (told,)


def stick_done(place: Place) -> Record:
    """The record that the stick in hand is put away."""
    return Record(RecordKind.STICK_DONE, {"stick": place.stick.name, "run": place.run})


def next_job(place: Place) -> Place:
    """The place with the sticks of a job that is done put away; any other as it is."""
    if place.stage is not Stage.DONE:
        return place
    return replace(
        place, done=(), run=1, job_number=place.job_number + 1, job_name="", job_place="", run_name=""
    )


def next_name(place: Place) -> str:
    """Sticks are named by number, counting on from the last one that has a number."""
    numbers = [int(stick.name) for stick in (*place.done, place.stick) if stick.name.isdecimal()]
    return str(max(numbers, default=0) + 1)
