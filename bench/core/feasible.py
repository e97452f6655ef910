"""Whether these bends can be made, and if not, why.

A bend needs straight conduit on both sides of its arc while it is made: on the hook's side from the arc to the
arrow, on the other side as much as there is to stand on. What is bent by then must lie outside both. It is held
well when the conduit is straight as far beyond the arrow as the hook grips; less can be done slowly, as the
published table of saddles has it (NAVEDTRA 14026 Table 5-4: an inch high at 22-1/2 degrees).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise

from bench.core.bender import Bender, Setup
from bench.core.lengths import round_to
from bench.core.notes import BenchError, Note, Value
from bench.core.path import Arc
from bench.core.plan import Hook, Mark
from bench.core.simulate import arc_of

Placed = Sequence[tuple[Mark, Arc]]
"""Marks with the arcs they make, in order of position of the arcs."""
Span = tuple[float, float]
"""From and to, inches along the conduit."""

SHALLOW = 10.0
"""Degrees under which a bend is straight enough to stand on: the shots of a segmented bend (common practice, no
source)."""


def check_possible(marks: Sequence[Mark], setup: Setup, taken: float = 0.0, well: bool = False) -> None:
    """Raise BenchError for the first thing that stops these marks from being bent on this stick.

    `taken` is how many inches from where the tape hooks on are bent already: the rest of a 90. With `well` the
    hook must have all of its grip.
    """
    made = placed(marks, setup.bender)
    check_bends(made, setup.bender.radius, setup.stick_length, setup.scale)
    _clear_of_bent(made[0], taken, setup.scale)
    bent: list[Span] = [(-_ANYWHERE, taken)] if taken else []
    for mark, arc in sorted(made, key=lambda pair: pair[0].order):
        check_held(mark, arc, bent, setup, well)
        bent.append((arc.start, arc.end(setup.bender.radius)))


def check_held(mark: Mark, arc: Arc, bent: Sequence[Span], setup: Setup, well: bool = False) -> None:
    """Raise BenchError when hook or foot find no straight conduit, `bent` being the arcs there are by then."""
    if mark.hook is Hook.EITHER:
        return
    bender, end = setup.bender, float(setup.stick_length)
    start, stop = arc.start, arc.end(bender.radius)
    seat, foot = seat_of(mark.hook, (start, stop), bender), foot_of(mark.hook, (start, stop), bender)
    _hook_reaches(mark, seat, end, setup)
    _refuse_seat(mark, overlap(seat if well else to_arrow((start, stop), mark.hook, bender), bent), setup)
    _foot_stands(mark, foot, end, setup)
    if arc.angle >= SHALLOW:
        _refuse_foot(mark, overlap(foot, bent), setup)


def seat_of(hook: Hook, arc: Span, bender: Bender) -> Span:
    """Where hook and shoe sit: from the arc to the arrow and `grip` beyond it, on the side the hook faces."""
    room = bender.arc_start + float(bender.grip)
    return (arc[1], arc[1] + room) if hook is Hook.AWAY else (arc[0] - room, arc[0])


def to_arrow(arc: Span, hook: Hook, bender: Bender) -> Span:
    """From the arc to the arrow: what must be straight at the least."""
    room = bender.arc_start
    return (arc[1], arc[1] + room) if hook is Hook.AWAY else (arc[0] - room, arc[0])


def foot_of(hook: Hook, arc: Span, bender: Bender) -> Span:
    """Where one stands on the conduit: `foot` beside the arc, on the other side."""
    room = float(bender.foot)
    return (arc[0] - room, arc[0]) if hook is Hook.AWAY else (arc[1], arc[1] + room)


def overlap(span: Span, bent: Sequence[Span]) -> float:
    """The most that a span lies on anything bent, inches; 0 where it is clear."""
    return max((min(span[1], end) - max(span[0], start) for start, end in bent), default=0.0)


def tight_hooks(marks: Sequence[Mark], setup: Setup, taken: float = 0.0) -> Iterator[tuple[Mark, float]]:
    """The marks where the hook has less straight conduit beyond the arrow than its grip, and how much it has."""
    bent: list[Span] = [(-_ANYWHERE, taken)] if taken else []
    for mark, arc in sorted(placed(marks, setup.bender), key=lambda pair: pair[0].order):
        span = (arc.start, arc.end(setup.bender.radius))
        lack = overlap(seat_of(mark.hook, span, setup.bender), bent)
        if mark.hook is not Hook.EITHER and lack > float(setup.scale):
            yield mark, max(_straight_beyond(mark.hook, span, bent, setup.bender), 0.0)
        bent.append(span)


def _straight_beyond(hook: Hook, arc: Span, bent: Sequence[Span], bender: Bender) -> float:
    """From the arrow to the next thing bent on the hook's side, inches."""
    if hook is Hook.AWAY:
        return min(start for start, end in bent if end > arc[1]) - arc[1] - bender.arc_start
    return arc[0] - max(end for start, end in bent if start < arc[0]) - bender.arc_start


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
        lap = before.end(radius) - after.start
        if lap > float(scale):
            raise _cannot(
                "arcs_overlap",
                "The bends at marks {mark} and {other} would overlap by {overlap}.",
                left,
                other=int(right.name),
                overlap=on_scale(lap, scale),
            )


def on_scale(value: float, scale: Fraction) -> Fraction:
    """A length for a message, on the tape's scale, and never rounded away to nothing."""
    return round_to(value, scale) or (scale if value > 0 else Fraction(0))


_ANYWHERE = 1e6
"""Inches; farther than any conduit."""


def _clear_of_bent(first: tuple[Mark, Arc], taken: float, scale: Fraction) -> None:
    mark, arc = first
    if taken and taken - arc.start > float(scale):
        raise _cannot(
            "arc_on_ninety",
            "The bend at mark {mark} would begin {overlap} inside the ninety.",
            mark,
            overlap=on_scale(taken - arc.start, scale),
        )


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


def _hook_reaches(mark: Mark, seat: Span, end: float, setup: Setup) -> None:
    grip = float(setup.bender.grip)
    room = grip - (seat[1] - end if mark.hook is Hook.AWAY else -seat[0])
    if room >= grip:
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


def _refuse_seat(mark: Mark, lack: float, setup: Setup) -> None:
    _refuse_lack(
        "hook_on_bend", "At mark {mark} the hook would sit {lack} on a finished bend.", mark, lack, setup
    )


def _foot_stands(mark: Mark, foot: Span, end: float, setup: Setup) -> None:
    room = foot[1] if mark.hook is Hook.AWAY else end - foot[0]
    if room < float(setup.bender.foot):
        raise _cannot(
            "foot_short",
            "Mark {mark} leaves only {room} of conduit to stand on; it needs {need}.",
            mark,
            room=on_scale(room, setup.scale),
            need=setup.bender.foot,
        )


def _refuse_foot(mark: Mark, lack: float, setup: Setup) -> None:
    _refuse_lack(
        "foot_on_bend", "At mark {mark} the foot would stand {lack} on a finished bend.", mark, lack, setup
    )


def _refuse_lack(code: str, template: str, mark: Mark, lack: float, setup: Setup) -> None:
    if lack > float(setup.scale):
        raise _cannot(code, template, mark, lack=on_scale(lack, setup.scale))


def _cannot(code: str, template: str, mark: Mark, **values: Value) -> BenchError:
    return BenchError(Note(code, template, {"mark": int(mark.name), **values}))
