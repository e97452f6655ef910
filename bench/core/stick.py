"""A stick: several bends on one length, all marks from the tape end, in an order that can be bent."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import chain

from bench.core.bender import Setup
from bench.core.bends.planning import at_another_angle, held_otherwise, neighbor_of
from bench.core.bends.rack import Spread, outward, shifts
from bench.core.floor import airborne
from bench.core.lengths import round_to
from bench.core.notes import BenchError, Note, Value
from bench.core.path import Path, build_path
from bench.core.plan import Mark, Plan
from bench.core.simulate import arc_of
from bench.core.simulate import arcs as arcs_of
from bench.core.stick_limits import OVERLAP, refuse_off_the_stick, refuse_overlaps
from bench.core.stick_order import NO_ORDER, bending_order
from bench.core.stick_places import Zero, exactly, moved
from bench.core.taping import Taped, taped


@dataclass(frozen=True, slots=True)
class OnStick:
    """One bend to put on a stick.

    `roll` turns the whole bend about the conduit's axis, degrees, against the first bend of the stick.
    `from_end` moves its marks so many inches along the straight conduit. Without it, the bend's measures are
    those of the finished run: from the tape end, or from the back of the last 90 before it; what the earlier
    bends take up is then added.
    """

    plan: Plan
    roll: float = 0.0
    from_end: Fraction | None = None


@dataclass(frozen=True, slots=True)
class Stick:
    """A stick laid out. Marks are numbered from the tape end; `order` counts bends over the whole stick.

    `whose` tells for each mark which of `bends` it belongs to. `finish` is as given to `lay_out`. `cut_at` is
    None where nothing says how long the finished stick must be. Lengths are inches from the tape end.
    """

    setup: Setup
    length: Fraction
    bends: tuple[OnStick, ...]
    marks: tuple[Mark, ...]
    whose: tuple[int, ...]
    cut_at: Fraction | None
    total_degrees: float
    warnings: tuple[Note, ...]
    finish: Fraction | None = None

    @property
    def used(self) -> Fraction:
        """Length of the stick as it goes into the run."""
        return self.length if self.cut_at is None else self.cut_at

    @property
    def remnant(self) -> Fraction:
        """What is left after the cut."""
        return self.length - self.used

    @property
    def in_order(self) -> tuple[Mark, ...]:
        """The marks in the order they are bent."""
        return tuple(sorted(self.marks, key=lambda mark: mark.order))

    @property
    def in_the_air(self) -> frozenset[int]:
        """The orders of the marks whose bend is made in the air."""
        return airborne(self.marks, self.setup.bender, float(self.length))

    @property
    def path(self) -> Path:
        """The finished shape."""
        return build_path(arcs_of(self.marks, self.setup.bender), self.setup.bender.radius, float(self.used))

    def mark(self, number: int) -> Mark:
        """Mark `number`, counted from the tape end. Raises BenchError saying how many there are."""
        if 1 <= number <= len(self.marks):
            return self.marks[number - 1]
        message = Note("no_such_mark", "There is no mark {number}.", {"number": number})
        raise BenchError(
            message, Note("last_mark_is", "The last one is mark {count}.", {"count": len(self.marks)})
        )

    def distance_to_next(self, number: int) -> Fraction | None:
        """Inches from mark `number` to the next one along the conduit; None at the last."""
        here = self.mark(number)
        return None if number == len(self.marks) else self.marks[number].at - here.at

    def taped(self, number: int, made: Collection[int]) -> Taped | None:
        """How mark `number` is taped where conduit before it is bent already, as `taping.taped` has it.

        `made` are the numbers of the marks bent. None where nothing before it is bent, or where no tape leads to it.
        """
        mark, bender = self.mark(number), self.setup.bender
        bent = [arc_of(self.mark(other), bender) for other in made if other != number]
        start = arc_of(mark, bender).start
        return taped(float(mark.place), [arc for arc in bent if arc.start < start], self.setup, self.length)


def lay_out(
    setup: Setup,
    bends: Sequence[OnStick],
    length: Fraction | None = None,
    finish: Fraction | None = None,
    made: int = 0,
) -> Stick:
    """Put `bends`, in order from the tape end, on a stick of `length` inches (the set-up's when not given).

    `finish` is where the finished stick ends, measured as one more bend would be; without it the last bend's
    own plan says where to cut, if it does. Marks are rounded once, from their exact places. The first `made` bends
    are bent already. Where hook or foot would be on another bend, a bend's other ways are tried: the hook turned
    around. Raises BenchError when bends overlap or run off the stick, with what would work.
    """
    try:
        return _laid_out(setup, bends, length, finish, made)
    except BenchError as error:
        held = _held_otherwise(setup, bends, length, made) if error.code == NO_ORDER else None
        if held is None:
            raise _with_an_angle(error, setup, bends, length, made) from None
        return _laid_out(setup, held, length, finish, made)


def _with_an_angle(
    error: BenchError, setup: Setup, bends: Sequence[OnStick], length: Fraction | None, made: int
) -> BenchError:
    """The error with the angle of the last bend that works as its remedy, where it finds no room and one does."""
    *before, last = bends
    if error.code not in (NO_ORDER, OVERLAP) or made >= len(bends) or last.from_end is not None:
        return error
    for plan in at_another_angle(last.plan, setup):
        tried = [*before, replace(last, plan=plan)]
        if _can_be_held(setup, tried, length, made) or _held_otherwise(setup, tried, length, made):
            values: dict[str, Value] = {"angle": plan.inputs.angle()}
            return BenchError(error.message, Note("angle_works", "An angle of {angle} would work.", values))
    return error


def _held_otherwise(
    setup: Setup, bends: Sequence[OnStick], length: Fraction | None, made: int
) -> list[OnStick] | None:
    """The bends in ways that can be held with those before them, each in its first such way; None where there is none.
    So a bend that is there keeps its way when another is added."""
    held: list[OnStick] = []
    for bend in bends:
        ways = chain((bend,), (replace(bend, plan=plan) for plan in held_otherwise(bend.plan, setup)))
        way = next((way for way in ways if _can_be_held(setup, [*held, way], length, made)), None)
        if way is None:
            return None
        held.append(way)
    return held


def _can_be_held(setup: Setup, bends: Sequence[OnStick], length: Fraction | None, made: int) -> bool:
    try:
        _laid_out(setup, bends, length, None, made)
    except BenchError:
        return False
    return True


def _laid_out(
    setup: Setup, bends: Sequence[OnStick], length: Fraction | None, finish: Fraction | None, made: int
) -> Stick:
    """The stick with its bends made as their plans say."""
    whole = setup.stick_length if length is None else length
    marks: list[Mark] = []
    whose: list[int] = []
    zero = Zero()
    end: Fraction | None = None
    for index, bend in enumerate(bends):
        start = zero.at if bend.from_end is None else float(bend.from_end)
        placed = moved(bend.plan, bend.roll, start, setup)
        zero = zero.after(setup, placed)
        end = None if bend.plan.cut is None else bend.plan.cut + Fraction(start)
        marks += placed
        whose += [index] * len(placed)
    end = end if finish is None else finish + Fraction(zero.at)
    cut_at = None if end is None else round_to(end, setup.scale)
    stick = _checked(setup, whole, tuple(bends), marks, whose, cut_at, made)
    return replace(stick, finish=finish)


def same_again(
    stick: Stick,
    spacing: Fraction = Fraction(0),
    turn: float = 0.0,
    spread: Spread = Spread.OUTSIDE,
    made: int = 0,
) -> Stick:
    """The next conduit of a rack, `spacing` inches away, each of its bends with its own measures.

    Conduits side by side, across the plane of the bends, have the same marks. Outside one another, positive
    `spacing` lies outside the bend nearest the tape end, on the side it turns away from, whichever bend is
    made first; `turn` is the roll in degrees of that side about the conduit (90: nothing moves). `made` as in
    `lay_out`. Raises BenchError when the neighbor cannot be made.
    """
    if not spacing or not stick.bends or spread is Spread.SIDE_BY_SIDE:
        return stick
    bends: list[OnStick] = []
    zero, moved_zero, along = Zero(), Zero(), 0.0
    side = stick.marks[0].roll + turn
    for bend in stick.bends:
        start = zero.at if bend.from_end is None else float(bend.from_end)
        placed = [exactly(mark, start, bend.roll) for mark in bend.plan.marks]
        arcs = [(arc.angle, arc.roll - side) for arc in arcs_of(placed, stick.setup.bender)]
        out = outward(float(spacing), arcs[0][1])
        ahead = round(along - (moved_zero.at - zero.at), 9) if bend.from_end is None else 0.0
        plan = neighbor_of(bend.plan, stick.setup, out, ahead) if out or ahead else bend.plan
        from_end = None if bend.from_end is None else bend.from_end + Fraction(along)
        bends.append(replace(bend, plan=plan, from_end=from_end))
        there = moved_zero.at if from_end is None else float(from_end)
        own = [exactly(mark, there, bend.roll) for mark in plan.marks]
        _, along = shifts(arcs, float(spacing), along)
        zero, moved_zero = zero.after(stick.setup, placed), moved_zero.after(stick.setup, own)
    finish = None if stick.finish is None else stick.finish + Fraction(along - (moved_zero.at - zero.at))
    return lay_out(stick.setup, bends, stick.length, finish, made)


def _checked(
    setup: Setup,
    length: Fraction,
    bends: tuple[OnStick, ...],
    marks: Sequence[Mark],
    whose: Sequence[int],
    cut_at: Fraction | None,
    made: int,
) -> Stick:
    along = sorted(range(len(marks)), key=lambda index: marks[index].at)
    owners = tuple(whose[index] for index in along)
    placed = [marks[index] for index in along]
    refuse_off_the_stick(setup, placed, length, cut_at)
    refuse_overlaps(setup, placed, owners)
    order, warnings = bending_order(setup.bender, placed, owners, made)
    numbered = tuple(
        replace(mark, name=str(number), order=turn)
        for number, (mark, turn) in enumerate(zip(placed, order, strict=True), start=1)
    )
    total = sum(mark.bend for mark in numbered)
    return Stick(setup, length, bends, numbered, owners, cut_at, total, warnings)
