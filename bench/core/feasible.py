"""Can these bends be made? The reason why not, before any advice on what would work."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

from bench.core.bender import Bender, Setup
from bench.core.inverse import arrow_at
from bench.core.lengths import round_to
from bench.core.notes import BenchError, Note, Value
from bench.core.path import Arc, Path
from bench.core.plan import Hook, Mark
from bench.core.simulate import arc_of

Placed = Sequence[tuple[Mark, Arc]]
"""Marks with the arcs they make, in order of position of the arcs."""


def check_possible(marks: Sequence[Mark], setup: Setup) -> None:
    """Raise BenchError for the first thing that stops these marks from being bent on this stick."""
    made = placed(marks, setup.bender)
    check_bends(made, setup.bender.radius, setup.stick_length, setup.scale)
    for mark, arc in made:
        _hook_holds(mark, arc, setup)
        _foot_stands(mark, arc, setup)


def placed(marks: Sequence[Mark], bender: Bender) -> Placed:
    """Each mark with its arc, in order of position."""
    return sorted(((mark, arc_of(mark, bender)) for mark in marks), key=lambda pair: pair[1].start)


def check_bends(made: Placed, radius: float, length: Fraction, scale: Fraction) -> None:
    """Raise BenchError when an arc of this radius leaves the conduit or runs into its neighbor.

    All inches. Arcs may touch, and rounding may push them together by one step of the tape's `scale`.
    """
    for mark, arc in made:
        _on_the_stick(mark, arc, radius, length, scale)
    for (left, before), (right, after) in pairwise(made):
        overlap = before.end(radius) - after.start
        if overlap > float(scale):
            raise _cannot(
                "arcs_overlap",
                "The bends at marks {mark} and {other} would overlap by {overlap}.",
                left,
                other=int(right.name),
                overlap=on_scale(overlap, scale),
            )


def hook_room(mark: Mark, arc: Arc, path: Path, bender: Bender) -> float:
    """Straight conduit beyond the arrow, on the hook's side, before the next bend or the end; inches."""
    straights, index = path.straights(), path.arcs.index(arc)
    side = straights[index + 1] if mark.hook is Hook.AWAY else straights[index]
    return side - bender.arc_start


def on_scale(value: float, scale: Fraction) -> Fraction:
    """A length for a message, on the tape's scale, and never rounded away to nothing."""
    return round_to(value, scale) or (scale if value > 0 else Fraction(0))


def _on_the_stick(mark: Mark, arc: Arc, radius: float, length: Fraction, scale: Fraction) -> None:
    if arc.start < 0 or mark.at < 0:
        raise _cannot(
            "off_tape_end",
            "Mark {mark} would fall {short} off the tape end of the conduit.",
            mark,
            short=on_scale(max(-arc.start, -float(mark.at)), scale),
        )
    over = max(arc.end(radius), float(mark.at)) - float(length)
    if over > 0:
        raise _cannot(
            "off_far_end",
            "Mark {mark} would need {short} more conduit than the stick's {stick}.",
            mark,
            short=on_scale(over, scale),
            stick=length,
        )


def _hook_holds(mark: Mark, arc: Arc, setup: Setup) -> None:
    arrow = arrow_at(arc.start, mark.hook, arc.angle, setup.bender)
    room = float(setup.stick_length) - arrow if mark.hook is Hook.AWAY else arrow
    if mark.hook is Hook.EITHER or room >= float(setup.bender.grip):
        return
    if room <= 0:
        raise _cannot("hook_none", "At mark {mark} no conduit is left for the hook.", mark)
    raise _cannot(
        "hook_short",
        "At mark {mark} only {room} of conduit reaches past the arrow for the hook; it needs {need}.",
        mark,
        room=on_scale(room, setup.scale),
        need=setup.bender.grip,
    )


def _foot_stands(mark: Mark, arc: Arc, setup: Setup) -> None:
    behind = float(setup.stick_length) - arc.end(setup.bender.radius)
    room = arc.start if mark.hook is Hook.AWAY else behind
    if mark.hook is not Hook.EITHER and room < float(setup.bender.foot):
        raise _cannot(
            "foot_short",
            "Mark {mark} leaves only {room} of conduit to stand on; it needs {need}.",
            mark,
            room=on_scale(room, setup.scale),
            need=setup.bender.foot,
        )


def _cannot(code: str, template: str, mark: Mark, **values: Value) -> BenchError:
    return BenchError(Note(code, template, {"mark": int(mark.name), **values}))
