"""From bends to marks on the tape's scale, checked, simulated and measured."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from bench.core.bender import Setup
from bench.core.bends.base import Bend, Bending, Given
from bench.core.bends.parallel import Parallel, shifted
from bench.core.feasible import check_possible
from bench.core.lengths import round_to
from bench.core.notes import BenchError
from bench.core.path import Path
from bench.core.plan import Layout, Mark, Method
from bench.core.simulate import simulate


@dataclass(frozen=True, slots=True)
class LaidOut:
    """A layout with what it came from: the bends before rounding, their path, and the path of the marks."""

    layout: Layout
    bends: tuple[Bending, ...]
    exact: Path
    path: Path


def marks_of(bends: tuple[Bending, ...], setup: Setup) -> tuple[Mark, ...]:
    """The marks, rounded to the tape's scale, named from 1 in order of position."""
    return tuple(
        Mark(
            name=str(number),
            at=round_to(bending.at, setup.scale),
            reference=bending.reference,
            hook=bending.hook,
            bend=bending.bend,
            roll=bending.roll,
            order=bending.order,
            pull=setup.bender.pull(bending.bend),
        )
        for number, bending in enumerate(bends, start=1)
    )


def lay_out(bend: Bend, method: Method, given: Given, setup: Setup) -> LaidOut:
    """The layout by one method, with the first way to face the hook that can be held.

    Raises BenchError, of the first way, when none can.
    """
    bends, marks = possible(bend, method, given, setup)
    path = simulate(marks, setup.bender, float(setup.stick_length))
    exact = simulate(bends, setup.bender, float(setup.stick_length))
    return LaidOut(Layout(method, marks, bend.finished(path, given, setup)), bends, exact, path)


def possible(
    bend: Bend, method: Method, given: Given, setup: Setup
) -> tuple[tuple[Bending, ...], tuple[Mark, ...]]:
    """The bends and their marks, with the first way to face the hook that can be held. Raises BenchError."""
    first: BenchError | None = None
    for hook in bend.hooks:
        try:
            bends = bend.bends(method, given, setup, hook)
            marks = marks_of(bends, setup)
            check_possible(marks, setup)
        except BenchError as error:
            first = first or error
            continue
        return bends, marks
    raise first or AssertionError("a bend has at least one way to face the hook")


def neighbour_marks(
    bend: Bend, bends: tuple[Bending, ...], given: Given, setup: Setup
) -> Iterator[tuple[Mark, ...]]:
    """The marks of the further conduits of a rack. Raises BenchError when one cannot be made."""
    for number in range(1, int(given["count"])) if isinstance(bend, Parallel) else ():
        marks = marks_of(shifted(bends, float(given["spacing"]) * number), setup)
        check_possible(marks, setup)
        yield marks


def neighbours(bend: Bend, laid: LaidOut, given: Given, setup: Setup) -> tuple[Layout, ...]:
    """The layouts of the further conduits of a rack. Raises BenchError when one cannot be made."""
    if not isinstance(bend, Parallel):
        return ()
    layouts = []
    for marks in neighbour_marks(bend, laid.bends, given, setup):
        path = simulate(marks, setup.bender, float(setup.stick_length))
        layouts.append(Layout(laid.layout.method, marks, bend.neighbour_finished(path, given, setup)))
    return tuple(layouts)
