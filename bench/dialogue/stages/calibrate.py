"""Making a bender's profile by voice: one test ninety, three measures, and what it sprang back."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from bench.core.bender import Bender, calibrated, calibration_doubts
from bench.core.notes import BenchError, Note
from bench.dialogue.always import ALWAYS
from bench.dialogue.effects import KeepBender, View
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.prompt import Prompt, Turn
from bench.dialogue.questions import as_number, corrected_value, question, value_note, value_text
from bench.dialogue.stages.set_up import set_up
from bench.dialogue.state import Stage, State
from bench.dialogue.wording import lines, tools_title
from bench.job.model import Profile
from bench.job.records import Record, RecordKind
from bench.language.meaning import Expectation, Kind, Meaning

TEST_MARK = Fraction(12)
"""Where the arrow's mark of the test bend is: a foot from the end suits every hand bender's size."""


def test_bend_prompt(state: State, knowledge: Knowledge) -> Prompt:
    """The test ninety on scrap, with the arrow on a known mark."""
    view = View(
        verb=knowledge.verbs["mark"],
        number=value_text(TEST_MARK, state.units),
        title=tools_title(state.now.tools, knowledge),
        lines=("90°",),
        angle=90.0,
    )
    return Prompt(
        (knowledge.note("test_bend", mark=TEST_MARK),),
        view,
        Expectation(Kind.COMMAND, commands=(*ALWAYS, "done")),
    )


def calibrate_prompt(state: State, knowledge: Knowledge) -> Prompt:
    """The measures of the test bend, one by one."""
    measure = knowledge.calibration[state.now.at]
    step = (state.now.at + 1, len(knowledge.calibration))
    title = tools_title(state.now.tools, knowledge)
    before = knowledge.calibration[state.now.at - 1] if state.now.at else None
    return question(state, knowledge, measure, knowledge.questions[measure.key].ask, title, step, before)


def calibrate_take(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """One measure of the test bend, or the one before corrected; after the last they are read back."""
    place = state.now
    if meaning.corrects and place.at > 0 and meaning.value != "skip":
        return _corrected(state, meaning, knowledge)
    measure = knowledge.calibration[place.at]
    skipped = meaning.value == "skip"
    value = None if skipped else as_number(measure, meaning.value)
    trial = (*place.trial[: place.at], (measure.key, value))
    last = place.at + 1 == len(knowledge.calibration)
    after = replace(
        place,
        trial=trial,
        at=0 if last else place.at + 1,
        stage=Stage.CALIBRATED if last else Stage.CALIBRATE,
    )
    return Turn(state.moved(after), (value_note(value, knowledge),))


def _corrected(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """ "No, eighteen and an eighth" corrects the measure before; the question itself is asked again."""
    place = state.now
    before = knowledge.calibration[place.at - 1]
    value = corrected_value(before, meaning, knowledge)
    if isinstance(value, Note):
        return Turn(state, (value,))
    trial = (*place.trial[: place.at - 1], (before.key, value))
    return Turn(state.moved(replace(place, trial=trial)), (knowledge.note("corrected", value=value),))


def calibrated_prompt(state: State, knowledge: Knowledge) -> Prompt:
    """What the test bend tells of the bender, and what to measure again if implausible; or why it cannot be."""
    title = tools_title(state.now.tools, knowledge)
    expect = Expectation(Kind.YESNO, commands=ALWAYS)
    try:
        bender = _bender(state, knowledge)
    except BenchError as error:
        view = View(verb=knowledge.verbs["measure"], number="AGAIN", title=title)
        return Prompt(
            (error.message, error.remedy), view, Expectation(Kind.COMMAND, commands=(*ALWAYS, "change"))
        )
    ask = knowledge.note("calibrated", take_up=bender.take_up, gain=bender.gain, springback=bender.springback)
    tools = state.now.tools
    doubts = calibration_doubts(bender, knowledge.typical[tools.conduit, tools.size])
    view = View(
        verb=knowledge.verbs["confirm"],
        number=value_text(bender.take_up, state.units),
        title=title,
        lines=lines(doubts, state.units),
    )
    return Prompt((*doubts[-1:], ask), view, expect)


def calibrated_take(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Yes keeps the profile; no takes the measures again."""
    if not meaning.value:
        return Turn(state.moved(replace(state.now, stage=Stage.CALIBRATE, at=0, trial=())))
    bender, tools = _bender(state, knowledge), state.now.tools
    profile = Profile(
        knowledge.word("mine"), tools.conduit, tools.size, bender.take_up, bender.gain, bender.springback
    )
    others = tuple(p for p in state.profiles if (p.conduit, p.size) != (tools.conduit, tools.size))
    turn = set_up(
        replace(state, profiles=(*others, profile)), profile, (knowledge.note("calibrated_kept"),), knowledge
    )
    kept = Record(
        RecordKind.BENDER,
        {
            "conduit": tools.conduit,
            "size": tools.size,
            "take_up": str(bender.take_up),
            "gain": str(bender.gain),
            "springback": bender.springback,
        },
    )
    return replace(turn, records=(kept, *turn.records), effects=(KeepBender(profile), *turn.effects))


def _bender(state: State, knowledge: Knowledge) -> Bender:
    """The bender the test bend's measures describe. Raises BenchError when they disagree."""
    trial = dict(state.now.trial)
    tools = state.now.tools
    sprung = trial.get("sprung")
    return calibrated(
        knowledge.conduits[tools.conduit, tools.size],
        mark=TEST_MARK,
        stub=Fraction(trial["stub"] or 0),
        leg=Fraction(trial["leg"] or 0),
        before=Fraction(trial["before"] or 0),
        sprung=None if sprung is None else float(sprung),
    )
