"""A plan as text for a person."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from bench.core.bender import Setup
from bench.core.bends import BENDS
from bench.core.code import BendLimit
from bench.core.floor import airborne
from bench.core.lengths import Units, angle_text, round_to, text
from bench.core.plan import Finished, Mark, Method, Plan
from bench.language.write import written
from bench.sheet.figures import HOOK_WORDS, NOT_TURNED, POINTS, handles, turns
from bench.sheet.terminal_drawing import stick_drawing

_METHODS = {Method.BOOK: "by the book", Method.TRUE: "exact for this bender"}
_LENGTHS = {
    "rise": "height",
    "roll": "sideways",
    "crown_at": "crown at",
    "legs_out_of_line": "legs out of line",
    "clearance": "clearance",
    "end_to_end": "back to back",
}


def plan_text(plan: Plan, setup: Setup, units: Units, width: int, limit: BendLimit) -> str:
    """The marks, how to make each bend, and the finished measures."""
    return "\n".join(_lines(plan, setup, units, max(40, min(width, 110)), limit))


def _lines(plan: Plan, setup: Setup, units: Units, width: int, limit: BendLimit) -> Iterator[str]:
    bender = setup.bender

    def say(value: float) -> str:
        return text(round_to(value, setup.scale), units, setup.scale)

    yield f"{BENDS[plan.bend].name.capitalize()}, {_METHODS[plan.chosen.method]}"
    yield (
        f"{setup.conduit.size} {setup.conduit.kind.upper()}, {bender.name}: "
        f"take-up {say(float(bender.take_up))}, gain {say(float(bender.gain))}"
    )
    yield ""
    yield stick_drawing(plan, setup, width, units)
    yield ""
    air = airborne(plan.marks, bender, float(setup.stick_length))
    held = zip(plan.in_order, turns(plan.in_order, air), handles(plan.in_order, air), strict=True)
    for mark, turn, handle in held:
        yield _bend_line(mark, turn, handle, setup, units)
    for number, each in enumerate(plan.rack, start=2):
        places = ", ".join(text(mark.at, units, setup.scale) for mark in each.marks)
        yield f"conduit {number}: marks at {places}"
    yield ""
    yield f"finished:  {_finished(plan.chosen.finished, say)}"
    yield f"conduit:   {say(plan.developed)} in the bend, shrink {say(plan.shrink)}, gain {say(plan.gain)}"
    if plan.cut is not None:
        yield f"cut at:    {say(float(plan.cut))}"
    yield f"degrees:   {angle_text(plan.total_degrees)} of {angle_text(limit.most_degrees)} between pull points"
    for note in plan.warnings:
        yield f"! {written(note, units)}"
    for note in plan.advice:
        yield f"- {written(note, units)}"
    yield "The code adopted where you work, the inspector and a licensed electrician decide."


def _bend_line(mark: Mark, turn: str, handle: str, setup: Setup, units: Units) -> str:
    """The line for one bend. `turn` is how to turn the pipe before it, `handle` whether the handle is up or down."""
    first = "" if turn in NOT_TURNED else f"turn the pipe {turn}, "
    pull = "" if mark.pull == mark.bend else f", pull to {angle_text(mark.pull)}"
    at = text(mark.at, units, setup.scale)
    held = f"handle {handle}, " if handle else ""
    how = f"{first}{held}{POINTS[mark.reference]} on the mark, {HOOK_WORDS[mark.hook]}"
    return f"bend {mark.order}:  mark {mark.name} at {at:>9}  {angle_text(mark.bend):>5}{pull}  {how}"


def _finished(finished: Finished, say: Callable[[float], str]) -> str:
    parts = [
        f"{label} {say(value)}"
        for key, label in _LENGTHS.items()
        if (value := getattr(finished, key)) is not None
    ]
    return ", ".join(parts)
