"""The work on a stick as a list of steps: mark, turn, put, bend, check, cut, fit. Pure.

What a person does in one movement is one step: the bender put on the mark and the bend, the cut and the reaming. A
person who wants each of them alone says "step by step" (`Pace`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from bench.core.checks import Check, checks
from bench.core.lengths import Units
from bench.core.notes import Note
from bench.core.plan import Plan
from bench.core.stick import Stick
from bench.dialogue.actions import how_to_measure
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.steps.bending import bend_steps
from bench.dialogue.steps.ending import ending, ending_together
from bench.dialogue.steps.marking import mark_step, mark_steps
from bench.dialogue.steps.step import Doing, Pace, WorkStep
from bench.language.write import written_value


def work_steps(
    stick: Stick,
    to_make: Sequence[int],
    plans: Sequence[tuple[int, Plan]],
    units: Units,
    knowledge: Knowledge,
    pace: Pace,
) -> tuple[WorkStep, ...]:
    """What is left to do on a stick, in order: `to_make` are marks not yet bent, `plans` those to check."""
    if pace.apart:
        marks = [mark_step(stick, index, to_make, units, knowledge) for index in to_make]
    else:
        marks = mark_steps(stick, to_make, units, knowledge, pace)
    bends = bend_steps(stick, to_make, knowledge, pace)
    found = [
        _check(check, owner, units, knowledge) for owner, plan in plans for check in checks(plan, stick.setup)
    ]
    if found:
        found[0] = replace(found[0], once=(knowledge.note("fits_or"),))
    if len(found) > 1 and not pace.apart:
        found.insert(0, _offer(plans, knowledge))
    end = ending if pace.apart else ending_together
    return (*marks, *bends, *found, *end(stick, units, knowledge))


def _offer(plans: Sequence[tuple[int, Plan]], knowledge: Knowledge) -> WorkStep:
    """Whether to check what was bent."""
    owner = plans[0][0] if len(plans) == 1 else None
    number = knowledge.words["check_it"]
    return WorkStep(Doing.OFFER, (knowledge.note("check_it"),), number, owner=owner)


def _check(check: Check, owner: int, units: Units, knowledge: Knowledge) -> WorkStep:
    number = written_value(check.planned, units)
    laid, what = how_to_measure(check)
    lay = (Note("lay", f"{laid}."),) if laid else ()
    return WorkStep(Doing.CHECK, (check.note,), number, lay, check=check, owner=owner, action=(what,))
