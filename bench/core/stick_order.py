"""The order in which the bends of a stick can be made: the shoe needs straight conduit to sit on."""

from __future__ import annotations

import math
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
    """Inches that lack at one bend, by index: of room to hold it well, and of what it cannot be made without."""

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
    groups = sorted(set(owners))
    ways = [_sequence(marks, owners, way) for way in _orders(groups, made)]
    best = min(ways, key=lambda way: _short_of(_lacking(bender, marks, owners, way)))
    lacks = _lacking(bender, marks, owners, best)
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
    """What lacks in all: first of what a bend cannot be made without."""
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


def _sequence(marks: Sequence[Mark], owners: Sequence[int], groups: Sequence[int]) -> list[int]:
    own = {group: [index for index, owner in enumerate(owners) if owner == group] for group in groups}
    return [index for group in groups for index in sorted(own[group], key=lambda at: marks[at].order)]


def _lacking(bender: Bender, marks: Sequence[Mark], owners: Sequence[int], way: Sequence[int]) -> list[_Lack]:
    """Each bend whose hook or foot would be on a bend of another owner made before."""
    made: list[tuple[int, Span, float]] = []
    found = []
    for index in way:
        mark, arc = marks[index], _arc(bender, marks[index])
        others = [(span, degrees) for owner, span, degrees in made if owner != owners[index]]
        lack = _Lack(index, _grip(mark, arc, others, bender), _held(mark, arc, others, bender))
        if max(lack.grip, lack.held):
            found.append(lack)
        made.append((owners[index], arc, mark.bend))
    return found


def _grip(mark: Mark, arc: Span, others: Sequence[tuple[Span, float]], bender: Bender) -> float:
    """How much the hook lacks of its grip, or the foot of its room; inches."""
    bent = [span for span, _ in others]
    room = (seat_of(mark.hook, arc, bender), foot_of(mark.hook, arc, bender))
    return _more_than_a_step(max(overlap(span, bent) for span in room))


def _held(mark: Mark, arc: Span, others: Sequence[tuple[Span, float]], bender: Bender) -> float:
    """How much lacks of what there must be: straight to the arrow, and to stand on; a shallow bend can be stood on."""
    if mark.hook is Hook.EITHER:
        return 0.0
    bent = [span for span, _ in others]
    steep = [span for span, degrees in others if degrees >= SHALLOW] if mark.bend >= SHALLOW else []
    hook = overlap(to_arrow(arc, mark.hook, bender), bent)
    return _more_than_a_step(max(hook, overlap(foot_of(mark.hook, arc, bender), steep)))


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
