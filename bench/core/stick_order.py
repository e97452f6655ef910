"""The order in which the bends of a stick can be made: the shoe needs straight conduit to sit on."""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import permutations

from bench.core.bender import Bender
from bench.core.feasible import SHALLOW, Span, foot_of, overlap, seat_of, to_arrow
from bench.core.lengths import SIXTEENTH, round_to
from bench.core.notes import BenchError, Note, Value
from bench.core.plan import Hook, Mark
from bench.core.simulate import arcs

NO_ORDER = "no_order_holds"
"""Code of the error where hook or foot find no room in any order."""
_FEW = 4
"""Bends of which every order is tried."""


@dataclass(frozen=True, slots=True)
class _Lack:
    """Inches missing at or because of one bend, by its index: `grip` of the room to hold it well, `held` of the least
    room to make it at all."""

    index: int
    grip: float
    held: float


def bending_order(
    bender: Bender, marks: Sequence[Mark], owners: Sequence[int], made: int = 0
) -> tuple[tuple[int, ...], tuple[Note, ...]]:
    """For each mark (in order of position) its turn from 1, and warnings where the hook has less than its grip.

    Bends of one owner keep their own order and stay together; owners below `made` are bent already and come first.
    From the tape end onwards is tried first, then back from the far end, then, of a few bends, every other order; the
    first in which the most room is left is taken. Raises BenchError when a bend cannot be held in any: hook or foot
    would be on a finished one.
    """
    near = _neighbors(bender, marks, owners)
    own = _own(marks, owners)
    ways = [[index for owner in way for index in own[owner]] for way in _orders(sorted(own), made)]
    tried = [(way, _lacking(near, way)) for way in ways]
    best, lacks = min(tried, key=lambda each: _short_of(each[1]))
    _refuse(max((lack for lack in lacks if lack.held), key=lambda lack: lack.held, default=None), owners)
    turns = [0] * len(marks)
    for turn, index in enumerate(best, start=1):
        turns[index] = turn
    return tuple(turns), tuple(_note(lack.index + 1, lack.grip) for lack in lacks)


def _orders(groups: Sequence[int], made: int) -> list[tuple[int, ...]]:
    bent, left = [group for group in groups if group < made], [group for group in groups if group >= made]
    ends = [(*bent, *left), (*bent[::-1], *left[::-1])]
    if len(groups) > _FEW:
        return ends
    return [*ends, *(before + after for before in permutations(bent) for after in permutations(left))]


def _short_of(lacks: Sequence[_Lack]) -> tuple[float, float]:
    """How many inches are missing in all: first of the least room, then of the room to hold it well."""
    return sum(lack.held for lack in lacks), sum(lack.grip for lack in lacks)


def _refuse(worst: _Lack | None, owners: Sequence[int]) -> None:
    if worst is None:
        return
    apart = Fraction(math.ceil(worst.held / float(SIXTEENTH))) * SIXTEENTH
    values: dict[str, Value] = {"mark": worst.index + 1, "lack": apart, "bend": owners[worst.index] + 1}
    raise BenchError(
        Note(NO_ORDER, "At mark {mark} the bender would sit {lack} on a finished bend.", values),
        Note(
            "move_bend_apart",
            "Move bend {bend} {lack} farther from its neighbor, or onto a stick of its own.",
            values,
        ),
    )


def _own(marks: Sequence[Mark], owners: Sequence[int]) -> dict[int, list[int]]:
    """The marks of each owner, in the order it bends them."""
    own: dict[int, list[int]] = {}
    for index in sorted(range(len(marks)), key=lambda index: marks[index].order):
        own.setdefault(owners[index], []).append(index)
    return own


def _neighbors(bender: Bender, marks: Sequence[Mark], owners: Sequence[int]) -> list[list[_Lack]]:
    """For each mark, the bends of other owners that hook or foot would be on, were they bent. Only those close by are
    looked at, so that a long stick takes no longer a bend than a short one."""
    spans = [_arc(bender, mark) for mark in marks]
    along = sorted(range(len(marks)), key=lambda index: spans[index][0])
    starts = [spans[index][0] for index in along]
    longest = max((end - start for start, end in spans), default=0.0)
    found = []
    for mark, span, owner in zip(marks, spans, owners, strict=True):
        seat, foot = seat_of(mark.hook, span, bender), foot_of(mark.hook, span, bender)
        first = bisect_left(starts, min(seat[0], foot[0]) - longest)
        last = bisect_right(starts, max(seat[1], foot[1]))
        others = [index for index in along[first:last] if owners[index] != owner]
        near = (_near(mark, span, other, marks[other].bend, spans[other], bender) for other in others)
        found.append([each for each in near if max(each.grip, each.held)])
    return found


def _near(mark: Mark, arc: Span, index: int, degrees: float, other: Span, bender: Bender) -> _Lack:
    """How much the hook lacks of its grip or the foot of its room, and how much of the least: straight conduit to the
    arrow, and something to stand on. A shallow bend can be stood on."""
    room = (seat_of(mark.hook, arc, bender), foot_of(mark.hook, arc, bender))
    grip = _more_than_a_step(max(overlap(span, [other]) for span in room))
    if mark.hook is Hook.EITHER:
        return _Lack(index, grip, 0.0)
    steep = [other] if min(degrees, mark.bend) >= SHALLOW else []
    hook, foot = overlap(to_arrow(arc, mark.hook, bender), [other]), overlap(room[1], steep)
    return _Lack(index, grip, _more_than_a_step(max(hook, foot)))


def _lacking(near: Sequence[Sequence[_Lack]], way: Sequence[int]) -> list[_Lack]:
    """Each bend whose hook or foot would be on a bend of another owner made before."""
    made: set[int] = set()
    found = []
    for index in way:
        there = [each for each in near[index] if each.index in made]
        if there:
            found.append(_Lack(index, max(each.grip for each in there), max(each.held for each in there)))
        made.add(index)
    return found


def _more_than_a_step(lack: float) -> float:
    return lack if lack > float(SIXTEENTH) else 0.0


def _arc(bender: Bender, mark: Mark) -> Span:
    (arc,) = arcs([mark], bender)
    return arc.start, arc.end(bender.radius)


def _note(number: int, lack: float) -> Note:
    values: dict[str, Value] = {"number": number, "lack": round_to(lack, SIXTEENTH)}
    return Note(
        "no_room_for_shoe",
        "At mark {number} hook or foot is {lack} on a finished bend. Move the bends apart.",
        values,
    )
