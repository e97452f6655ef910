"""The end of a stick: cut, ream, fit and fasten. Pure."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from bench.core.cautions import Step
from bench.core.lengths import Units, text
from bench.core.notes import Note
from bench.core.stick import Stick
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.steps.step import Doing, WorkStep
from bench.language.speak import spoken_length


def ending(stick: Stick, units: Units, knowledge: Knowledge) -> tuple[WorkStep, ...]:
    """Cut, ream, fit and support, each alone."""
    cut, number = _cut(stick, units, knowledge)
    say = knowledge.note("cut") if stick.cut_at is None else knowledge.note("cut_at", at=stick.cut_at)
    ream, fit = knowledge.note("ream"), knowledge.note("fit")
    shown = support(stick, knowledge)
    said = replace(
        shown,
        values={
            key: spoken_length(length, units, feet=True)
            for key, length in shown.values.items()
            if isinstance(length, Fraction)
        },
    )
    return (
        replace(cut, say=(say,), number=number, lines=(say,)),
        WorkStep(Doing.REAM, (ream,), knowledge.verbs["ream"], (ream,)),
        WorkStep(Doing.FIT, (fit,), knowledge.verbs["fit"], (fit, shown), caution=Step.FIT, once=(said,)),
    )


def ending_together(stick: Stick, units: Units, knowledge: Knowledge) -> tuple[WorkStep, ...]:
    """Cut and ream; fitting is told with the question of what comes next."""
    return (_cut(stick, units, knowledge)[0],)


def _cut(stick: Stick, units: Units, knowledge: Knowledge) -> tuple[WorkStep, str]:
    number = knowledge.verbs["cut"] if stick.cut_at is None else text(stick.cut_at, units)
    say = (
        knowledge.note("cut_ream") if stick.cut_at is None else knowledge.note("cut_at_ream", at=stick.cut_at)
    )
    further = knowledge.note("bend_first")
    step = WorkStep(Doing.CUT, (say,), number, (say, further), caution=Step.CUT, once=(further,))
    return step, number


def support(stick: Stick, knowledge: Knowledge) -> Note:
    """How often to fasten it."""
    rule = knowledge.limits.support(stick.setup.conduit.kind, stick.setup.conduit.size)
    return knowledge.note("support", near=rule.from_box, every=rule.every)
