"""Can these bends be made? Every reason why not, worst first, before any advice on what would work."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from bench.core.bender import Bender, Setup
from bench.core.inverse import arrow_at
from bench.core.lengths import round_to
from bench.core.notes import BenchError, Note
from bench.core.path import Arc, Path
from bench.core.plan import Hook, Mark
from bench.core.simulate import arcs


def check_possible(marks: Sequence[Mark], setup: Setup) -> None:
    """Raise BenchError for the first thing that stops these marks, in order of position, from being bent."""
    made = arcs(marks, setup.bender)
    for mark, arc in zip(marks, made, strict=True):
        _on_the_stick(mark, arc, setup)
    for before, after, left, right in zip(made, made[1:], marks, marks[1:], strict=False):
        _apart(before, after, left, right, setup)
    for mark, arc in zip(marks, made, strict=True):
        _hook_holds(mark, arc, setup)
        _foot_stands(mark, arc, setup)


def hook_room(mark: Mark, arc: Arc, path: Path, bender: Bender) -> float:
    """Straight conduit beyond the arrow, on the hook's side, before the next bend or the end; inches."""
    straights, index = path.straights(), path.arcs.index(arc)
    side = straights[index + 1] if mark.hook is Hook.AWAY else straights[index]
    return side - bender.arc_start


def _on_the_stick(mark: Mark, arc: Arc, setup: Setup) -> None:
    bender = setup.bender
    if arc.start < 0 or mark.at < 0:
        short = Fraction(max(-arc.start, -float(mark.at)))
        raise _cannot(
            "off_tape_end",
            "Mark {mark} would fall {short} off the tape end of the conduit.",
            mark,
            short=on_scale(short, setup),
        )
    over = max(arc.end(bender.radius), float(mark.at)) - float(setup.stick_length)
    if over > 0:
        raise _cannot(
            "off_far_end",
            "Mark {mark} would need {short} more conduit than the stick's {stick}.",
            mark,
            short=on_scale(Fraction(over), setup),
            stick=setup.stick_length,
        )


def _apart(before: Arc, after: Arc, left: Mark, right: Mark, setup: Setup) -> None:
    """Arcs may touch, and rounding may push them together by one step of the tape's scale."""
    overlap = before.end(setup.bender.radius) - after.start
    if overlap > float(setup.scale):
        raise BenchError(
            Note(
                "arcs_overlap",
                "The bends at marks {mark} and {other} would overlap by {overlap}.",
                {"mark": left.name, "other": right.name, "overlap": on_scale(Fraction(overlap), setup)},
            )
        )


def _hook_holds(mark: Mark, arc: Arc, setup: Setup) -> None:
    arrow = arrow_at(arc.start, mark.hook, arc.angle, setup.bender)
    room = float(setup.stick_length) - arrow if mark.hook is Hook.AWAY else arrow
    if room < float(setup.bender.grip) and mark.hook is not Hook.EITHER:
        raise _cannot(
            "hook_short",
            "At mark {mark} only {room} of conduit reaches past the arrow for the hook; it needs {need}.",
            mark,
            room=on_scale(Fraction(room), setup),
            need=setup.bender.grip,
        )


def _foot_stands(mark: Mark, arc: Arc, setup: Setup) -> None:
    room = arc.start if mark.hook is Hook.AWAY else float(setup.stick_length) - arc.end(setup.bender.radius)
    if room < float(setup.bender.foot) and mark.hook is not Hook.EITHER:
        raise _cannot(
            "foot_short",
            "Mark {mark} leaves only {room} of conduit to stand on; it needs {need}.",
            mark,
            room=on_scale(Fraction(room), setup),
            need=setup.bender.foot,
        )


def on_scale(value: Fraction, setup: Setup) -> Fraction:
    """A length for a message, on the tape's scale, and never rounded away to nothing."""
    return round_to(value, setup.scale) or (setup.scale if value > 0 else Fraction(0))


def _cannot(code: str, template: str, mark: Mark, **values: Fraction) -> BenchError:
    return BenchError(Note(code, template, {"mark": mark.name, **values}))
