"""From bends to marks on the tape's scale, checked, simulated and measured."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from bench.core.bender import Setup
from bench.core.bends.base import Bend, Bending, LaidOut, Way
from bench.core.bends.rack import shifted
from bench.core.feasible import check_possible
from bench.core.given import Given
from bench.core.lengths import round_to
from bench.core.notes import BenchError
from bench.core.path import build_path
from bench.core.plan import Finished, Layout, Mark, Method
from bench.core.rounding import rounded_together
from bench.core.simulate import Made, arc_of, simulate


@dataclass(frozen=True, slots=True)
class Neighbor:
    """A further conduit of a rack: its own measures, bends, marks, and what the marks make."""

    given: Given
    bends: tuple[Bending, ...]
    marks: tuple[Mark, ...]


def marks_of(bends: Sequence[Bending], setup: Setup, places: Sequence[Fraction]) -> tuple[Mark, ...]:
    """The marks of these bends at their places on the tape's scale, named from 1 in order of position."""
    return tuple(
        Mark(
            name=str(number),
            at=at,
            reference=bending.reference,
            hook=bending.hook,
            bend=bending.bend,
            roll=bending.roll,
            order=bending.order,
            pull=setup.bender.pull(bending.bend),
            exact=Fraction(bending.at),
        )
        for number, (bending, at) in enumerate(zip(bends, places, strict=True), start=1)
    )


def on_the_tape(bends: Sequence[Made], setup: Setup, method: Method) -> list[Fraction]:
    """Where bends are marked on the tape's scale, in their order: each rounded alone by the book, as it is published,
    together for the bender."""
    places = [Fraction(bending.at) for bending in bends]
    if method is Method.BOOK:
        return [round_to(place, setup.scale) for place in places]
    arcs = [arc_of(bending, setup.bender) for bending in bends]
    along = sorted(range(len(arcs)), key=lambda index: arcs[index].start)
    path = build_path(arcs, setup.bender.radius, float(setup.stick_length))
    marks = rounded_together([places[index] for index in along], path, setup.scale)
    found = dict(zip(along, marks, strict=True))
    return [found[index] for index in range(len(places))]


def lay_out(
    bend: Bend,
    method: Method,
    given: Given,
    setup: Setup,
    distances: tuple[float, ...] = (),
    well: bool = False,
) -> LaidOut:
    """The layout by one method, in the first way to make it that can be held.

    Raises BenchError, of the first way, when none can.
    """
    bends, marks = possible(bend, method, given, setup, distances, well)
    return laid_out(bend, method, given, setup, bends, marks)


def laid_out(
    bend: Bend,
    method: Method,
    given: Given,
    setup: Setup,
    bends: tuple[Bending, ...],
    marks: tuple[Mark, ...],
) -> LaidOut:
    """What these marks make."""
    path = simulate(marks, setup.bender, float(setup.stick_length))
    exact = simulate(bends, setup.bender, float(setup.stick_length))
    return LaidOut(Layout(method, marks, bend.finished(path, given, setup)), bends, exact, path)


def possible(
    bend: Bend,
    method: Method,
    given: Given,
    setup: Setup,
    distances: tuple[float, ...] = (),
    well: bool = False,
) -> tuple[tuple[Bending, ...], tuple[Mark, ...]]:
    """The bends and their marks, in the first way that is held well, by the neighbors at these distances too.

    Without `well`, else in the first way that can be held at all. Raises BenchError, of the first way, when none
    can.
    """
    first: BenchError | None = None
    ways = [(way, True) for way in bend.ways_for(method)]
    ways += [] if well else [(way, False) for way, _ in ways]
    for way, strict in ways:
        try:
            bends, marks = in_way(bend, method, given, setup, way, strict)
            for _ in neighbors(bend, method, bends, given, setup, distances, strict):
                pass
        except BenchError as error:
            first = first or error
            if method is Method.TRUE and _in_no_way(bend, given, setup, way):
                break
            continue
        return bends, marks
    raise first or AssertionError("a bend has at least one way to make it")


def _in_no_way(bend: Bend, given: Given, setup: Setup, way: Way) -> bool:
    """Whether the exact arcs, which are the same in every way, cannot be or lie off the stick by more than rounding."""
    try:
        made = [arc_of(bending, setup.bender) for bending in bend.bends(Method.TRUE, given, setup, way)]
    except BenchError:
        return True
    rounding, radius = 2 * float(setup.scale), setup.bender.radius
    most = float(setup.stick_length) + rounding
    return any(arc.start < -rounding or arc.end(radius) > most for arc in made)


def in_way(
    bend: Bend, method: Method, given: Given, setup: Setup, way: Way, well: bool = False
) -> tuple[tuple[Bending, ...], tuple[Mark, ...]]:
    """The bends and their marks, made in one way. Raises BenchError when it cannot be held so."""
    bends = bend.bends(method, given, setup, way)
    taken, alone = bend.taken(given, setup), on_the_tape(bends, setup, Method.BOOK)
    marks = marks_of(bends, setup, alone)
    check_possible(marks, setup, taken, well)
    if method is Method.TRUE and (together := on_the_tape(bends, setup, method)) != alone:
        marks = marks_of(bends, setup, together)
        check_possible(marks, setup, taken, well)
    return bends, marks


def neighbor(
    bend: Bend,
    method: Method,
    bends: tuple[Bending, ...],
    given: Given,
    setup: Setup,
    out: float,
    ahead: float = 0.0,
) -> Neighbor:
    """The conduit `out` inches outside one with these bends; `ahead` as in `Bend.neighbor`. Not yet checked."""
    starts = [arc_of(bending, setup.bender).start for bending in bends]
    moved = shifted(bends, starts, out, ahead)
    return Neighbor(
        bend.neighbor(given, setup, out, ahead),
        moved,
        marks_of(moved, setup, on_the_tape(moved, setup, method)),
    )


def without_obstruction(finished: Finished) -> Finished:
    """A neighbor is not measured against the first conduit's obstruction: its own lies elsewhere."""
    return replace(finished, clearance=None)


def neighbors(
    bend: Bend,
    method: Method,
    bends: tuple[Bending, ...],
    given: Given,
    setup: Setup,
    distances: tuple[float, ...],
    well: bool = False,
) -> Iterator[Neighbor]:
    """The further conduits of a rack, at their distances from the first. Raises BenchError."""
    for out in distances:
        each = neighbor(bend, method, bends, given, setup, out, bend.start_ahead(given, out))
        check_possible(each.marks, setup, bend.taken(given, setup), well)
        yield each
