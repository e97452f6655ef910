"""The correction of a bend: what to open, close, turn or cut; or to make it again."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from bench.core.corrections import Correction, Verdict, correct
from bench.core.lengths import round_to
from bench.dialogue.actions import adjusted
from bench.dialogue.always import ALWAYS, WORKING
from bench.dialogue.effects import View
from bench.dialogue.in_hand import bend_checked, owner_checked, plan_checked, step_now
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.plans import setup_of, whole_stick
from bench.dialogue.prompt import Prompt, Turn
from bench.dialogue.scenes import finished
from bench.dialogue.stages.progress import forward
from bench.dialogue.state import Stage, State
from bench.dialogue.steps.step import Doing
from bench.dialogue.wording import lines, place_title
from bench.job.model import JobStick, Number, Reading
from bench.language.meaning import Expectation, Kind

LEFT_SO = (Verdict.REMAKE, Verdict.MOVE)
"""What bending cannot correct: made again, or gone on with as it is."""


def tweak_prompt(state: State, knowledge: Knowledge) -> Prompt:
    """What to open or close, by how much; or that it is near enough; or to make it again."""
    correction = correction_now(state, knowledge)
    view = View(
        verb=knowledge.verbs["tweak"],
        number=correction.headline(state.units),
        action=adjusted(correction, state.units, knowledge),
        action_alone=True,
        scenes=finished(whole_stick(state.now, state.units, knowledge), knowledge),
        title=place_title(state, knowledge),
        lines=lines(correction.notes, state.units),
    )
    expect = Expectation(Kind.COMMAND, commands=(*ALWAYS, *WORKING, "done", "remake"))
    then = "or_on" if correction.verdict in LEFT_SO else "tweak_done"
    return Prompt(correction.notes, view, expect, once=(knowledge.note(then),))


def correction_now(state: State, knowledge: Knowledge) -> Correction:
    """What core makes of what was observed."""
    setup = setup_of(state.now, state.units, knowledge)
    return correct(plan_checked(state, knowledge), setup, dict(state.now.observed))


def after_tweak(state: State, knowledge: Knowledge) -> Turn:
    """The correction is made: the same check again, or the first one where checks were only offered yet.

    What else was measured is now as predicted. What bending cannot correct is left as it is; where
    the step asked for it, the next step comes.
    """
    correction = correction_now(state, knowledge)
    step, measured = step_now(state, knowledge), state.now.measured
    at = state.now.at + (step.doing is Doing.OFFER)
    if correction.verdict in LEFT_SO and measured is not None:
        others = tuple(pair for pair in state.now.observed if pair[0] != measured[0])
        left = replace(state.now, stage=Stage.WORK, measured=None, observed=others)
        if step.check is not None and step.check.key == measured[0]:
            return forward(replace(state, now=left), knowledge)
        return Turn(state.moved(replace(left, at=at)))
    *earlier, last = bend_checked(state, knowledge).readings
    stick = stick_with_readings(state, (*earlier, replace(last, mended=True)), knowledge)
    observed = tuple(
        (key, _like(value, correction.predicted[key]))
        for key, value in state.now.observed
        if key in correction.predicted
    )
    place = replace(state.now, stage=Stage.WORK, at=at, measured=None, stick=stick, observed=observed)
    return Turn(state.moved(place))


def _like(old: Number, value: float) -> Number:
    """A predicted reading as the kind of number that was read: a length to a sixty-fourth, or degrees."""
    return round_to(value, Fraction(1, 64)) if isinstance(old, Fraction) else value


def stick_with_readings(state: State, readings: tuple[Reading, ...], knowledge: Knowledge) -> JobStick:
    """The stick in hand with these readings of the bend being checked."""
    owner, stick = owner_checked(state, knowledge), state.now.stick
    bends = tuple(
        replace(bend, readings=readings) if index == owner else bend for index, bend in enumerate(stick.bends)
    )
    return replace(stick, bends=bends)
