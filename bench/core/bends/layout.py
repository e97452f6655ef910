"""From bends to marks on the tape's scale, checked, simulated and measured."""

from __future__ import annotations

from bench.core.bender import Setup
from bench.core.bends.base import Bend, Bending, Given
from bench.core.feasible import check_possible
from bench.core.lengths import round_to
from bench.core.notes import BenchError
from bench.core.path import Path
from bench.core.plan import Layout, Mark, Method
from bench.core.simulate import simulate


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


def lay_out(bend: Bend, method: Method, given: Given, setup: Setup) -> tuple[Layout, Path]:
    """The layout by one method and the path of its exact marks; the first way to face the hook that can be held.

    Raises BenchError, of the first way, when none can.
    """
    first: BenchError | None = None
    for hook in bend.hooks:
        try:
            bends = bend.bends(method, given, setup, hook)
            marks = marks_of(bends, setup)
            check_possible(marks, setup)
        except BenchError as error:
            first = first or error
            continue
        path = simulate(marks, setup.bender, float(setup.stick_length))
        exact = simulate(bends, setup.bender, float(setup.stick_length))
        return Layout(method, marks, bend.finished(path, given, setup)), exact
    raise first or AssertionError("a bend has at least one way to face the hook")
