"""The order in which the bends of a stick can be made: the shoe needs straight conduit to sit on."""

from __future__ import annotations

from collections.abc import Sequence

from bench.core.bender import Bender
from bench.core.feasible import Span, foot_of, overlap, seat_of
from bench.core.lengths import SIXTEENTH, round_to
from bench.core.notes import Note, Value
from bench.core.plan import Mark
from bench.core.simulate import arcs


def bending_order(
    bender: Bender, marks: Sequence[Mark], owners: Sequence[int]
) -> tuple[tuple[int, ...], tuple[Note, ...]]:
    """For each mark (in order of position) its turn from 1, and warnings where no order leaves room.

    Bends of one owner keep their own order and stay together. From the tape end onwards is tried first, then
    back from the far end; where the shoe has room in neither, the order with less lacking is taken and the
    lack told.
    """
    groups = sorted(set(owners))
    ways = [_sequence(marks, owners, way) for way in (groups, groups[::-1])]
    lacks = [_lacking(bender, marks, owners, way) for way in ways]
    best = min((0, 1), key=lambda way: sum(lack for _, lack in lacks[way]))
    turns = [0] * len(marks)
    for turn, index in enumerate(ways[best], start=1):
        turns[index] = turn
    return tuple(turns), tuple(_note(index + 1, lack) for index, lack in lacks[best])


def _sequence(marks: Sequence[Mark], owners: Sequence[int], groups: Sequence[int]) -> list[int]:
    own = {group: [index for index, owner in enumerate(owners) if owner == group] for group in groups}
    return [index for group in groups for index in sorted(own[group], key=lambda at: marks[at].order)]


def _lacking(
    bender: Bender, marks: Sequence[Mark], owners: Sequence[int], way: Sequence[int]
) -> list[tuple[int, float]]:
    """Each bend, by index, whose hook or foot would be on a bend of another owner made before, by how much."""
    made: list[tuple[int, Span]] = []
    found = []
    for index in way:
        arc, hook = _arc(bender, marks[index]), marks[index].hook
        others = [span for owner, span in made if owner != owners[index]]
        room = (seat_of(hook, arc, bender), foot_of(hook, arc, bender))
        worst = max(overlap(span, others) for span in room)
        if worst > float(SIXTEENTH):
            found.append((index, worst))
        made.append((owners[index], arc))
    return found


def _arc(bender: Bender, mark: Mark) -> Span:
    (arc,) = arcs([mark], bender)
    return arc.start, arc.end(bender.radius)


def _note(number: int, lack: float) -> Note:
    values: dict[str, Value] = {"number": number, "lack": round_to(lack, SIXTEENTH)}
    return Note(
        "no_room_for_shoe",
        "At mark {number} hook or foot is {lack} on a finished bend; move the bends apart.",
        values,
    )
