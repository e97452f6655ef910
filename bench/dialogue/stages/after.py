"""After a bend: the same again, another on this stick, a new stick, or the end of the job."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from bench.core.cautions import Step
from bench.core.notes import BenchError, Note
from bench.core.plan import Measure, Quantity
from bench.dialogue.always import ALWAYS, BETWEEN, NAMES
from bench.dialogue.effects import Finish, View
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.plans import setup_of, told, whole_stick
from bench.dialogue.prompt import Prompt, Turn
from bench.dialogue.questions import as_number, expectation, mended, slot_of
from bench.dialogue.scenes import finished
from bench.dialogue.stages.pick import orderable
from bench.dialogue.state import Place, Stage, State
from bench.dialogue.steps import support
from bench.dialogue.wording import lines, place_title
from bench.job.layout import laid_out
from bench.job.model import JobBend, JobStick, Tools
from bench.job.records import Record, RecordKind
from bench.language.lexicon import offered
from bench.language.meaning import Expectation, Kind, Meaning
from bench.language.speak import spoken_size

SPACING = Measure("spacing", Quantity.LENGTH, Fraction(1, 2), Fraction(24), optional=True)
"""How far outside this pipe the next one lies, center to center, inches; side by side its marks are the same."""

RUN = Measure("run", Quantity.COUNT, Fraction(1), Fraction(99))


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


def rack_prompt(state: State, knowledge: Knowledge) -> Prompt:
    """The next pipe of a rack: side by side with this one, or how far outside it."""
    view = View(
        verb=knowledge.verbs["measure"],
        number="SPACING",
        title=place_title(state, knowledge),
        lines=(knowledge.prompts["rack"],),
    )
    expect = expectation(SPACING, state.units)
    choices, slots = ("side_by_side", *expect.choices), (slot_of(SPACING, True, False),)
    expect = replace(expect, choices=choices, asks=SPACING.key, slots=slots)
    return Prompt((knowledge.note("rack"),), view, expect)


def rack_take(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """The same bends on a new stick, moved over for the spacing; read back before a mark is made."""
    if meaning.value in ("side_by_side", "skip"):
        return next_pipe(state, Fraction(0), knowledge)
    spacing = mended(SPACING, meaning, knowledge)
    if isinstance(spacing, Note):
        return Turn(state, (spacing,))
    return next_pipe(state, Fraction(spacing), knowledge)


def next_pipe(state: State, spacing: Fraction, knowledge: Knowledge) -> Turn:
    """The next pipe of a rack, `spacing` inches outside the one in hand; or why its marks cannot move so."""
    place = state.now
    shift = place.stick.shift + spacing
    stick = replace(place.stick.fresh(), name=next_name(place), shift=shift, pipe=place.stick.pipe + 1)
    try:
        laid_out(stick, setup_of(replace(place, stick=stick), state.units, knowledge))
    except BenchError as error:
        return Turn(state, (error.message, error.remedy))
    again = replace(place, stage=Stage.RACK_READ_BACK, at=0, stick=stick, done=(*place.done, place.stick))
    return Turn(state.moved(again))


def rack_read_back_prompt(state: State, knowledge: Knowledge) -> Prompt:
    """The next pipe: how far its marks are moved, for an explicit yes."""
    shift = state.now.stick.shift
    moved = knowledge.note("rack_same") if not shift else knowledge.note("rack_shift", shift=shift)
    number = (
        knowledge.words["same"]
        if not shift
        else knowledge.write(knowledge.note("only", value=shift), state.units)
    )
    view = View(verb=knowledge.verbs["confirm"], number=number, title=place_title(state, knowledge))
    ask = (*_pipe_of(state.now.stick, knowledge), moved, knowledge.note("right"))
    return Prompt(ask, view, Expectation(Kind.YESNO, commands=ALWAYS))


def _pipe_of(stick: JobStick, knowledge: Knowledge) -> tuple[Note, ...]:
    """Which pipe of a rack of known number this one is."""
    measures = stick.bends[-1].measures
    spacing, total = measures.get("spacing"), measures.get("count")
    if not isinstance(spacing, Fraction) or not isinstance(total, int):
        return ()
    this = int(stick.shift / spacing) + 1
    return (knowledge.note("pipe_of", this=this, total=total),) if this <= total else ()


def rack_read_back_take(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Yes begins the marks of the next pipe; no asks for the spacing again."""
    place = state.now
    if meaning.value:
        stick = told(place.stick, setup_of(place, state.units, knowledge))
        detail: dict[str, object] = {
            "stick": stick.name,
            "shift": str(stick.shift),
            "bends": len(stick.bends),
        }
        return Turn(
            state.moved(replace(place, stage=Stage.WORK, at=0, stick=stick)),
            (),
            (Record(RecordKind.SAME_AGAIN, detail),),
        )
    return Turn(state.moved(replace(place, stage=Stage.RACK, stick=place.done[-1], done=place.done[:-1])))


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
    done = (*place.done, place.stick) if place.stick.bends else place.done
    record = (
        (Record(RecordKind.STICK_DONE, {"stick": place.stick.name, "run": place.run}),)
        if place.stick.bends
        else ()
    )
    if place.again:
        return _like_before(state, place, done, record, knowledge)
    if place.queued < len(state.queue):
        return _from_list(state, done, record, knowledge)
    name = next_name(place) if place.stick.bends else place.stick.name
    fresh = replace(
        place, stage=Stage.PICK, at=0, bend=JobBend(), stick=JobStick(name), done=done, observed=()
    )
    return Turn(state.moved(fresh), (knowledge.note("new_stick", name=name),), record)


def _from_list(
    state: State, done: tuple[JobStick, ...], record: tuple[Record, ...], knowledge: Knowledge
) -> Turn:
    """The next stick of the list: each of its bends is read back before it is marked."""
    place = replace(next_job(state.now), uncut=False)
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


def finish_prompt(state: State, knowledge: Knowledge) -> Prompt:
    """The job ends only on an explicit yes."""
    view = View(
        verb=knowledge.verbs["confirm"], number=knowledge.words["finish"], title=place_title(state, knowledge)
    )
    return Prompt((knowledge.note("finish"),), view, Expectation(Kind.YESNO, commands=(*ALWAYS, "finish")))


def finish_take(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Yes ends the job and keeps it; no goes back to where it was."""
    place = state.now
    if not meaning.value:
        home = place.came_from or (Stage.AFTER if place.stick.bends else Stage.PICK)
        return Turn(state.moved(replace(place, stage=home, came_from=None)))
    done = (*place.done, place.stick) if place.stick.bends else place.done
    ended = Place(
        stage=Stage.DONE,
        tools=place.tools,
        done=done,
        run=place.run,
        queued=place.queued,
        job_number=place.job_number,
        job_name=place.job_name,
        job_place=place.job_place,
        run_name=place.run_name,
        apart=place.apart,
        row=place.row,
    )
    return Turn(state.moved(ended), (), (Record(RecordKind.JOB_DONE, {"sticks": len(done)}),))


def done_prompt(state: State, knowledge: Knowledge) -> Prompt:
    """The job is kept: another, or goodbye."""
    view = View(
        verb=knowledge.verbs["done"],
        number=knowledge.words["done"],
        title="",
        lines=(knowledge.prompts["done"],),
    )
    commands = (*ALWAYS, *NAMES, "new_stick", "sheet", "materials", "finish")
    return Prompt((knowledge.note("done"),), view, Expectation(Kind.COMMAND, commands=commands))


def goodbye(state: State, knowledge: Knowledge) -> Turn:
    """Close the assistant; everything is kept."""
    return Turn(state, (knowledge.note("goodbye"),), effects=(Finish(),), ask=False)
