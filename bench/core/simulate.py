"""Forward: any list of marks, made on any bender, to the finished shape."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from typing import Protocol

from bench.core.bender import Bender
from bench.core.inverse import arc_start
from bench.core.path import Arc, Path, build_path
from bench.core.plan import Hook, Reference


class Made(Protocol):
    """A bend made: a `Mark`, or anything with its place, reference, hook, angle and roll."""

    @property
    def at(self) -> Fraction | float: ...
    @property
    def reference(self) -> Reference: ...
    @property
    def hook(self) -> Hook: ...
    @property
    def bend(self) -> float: ...
    @property
    def roll(self) -> float: ...


def arc_of(made: Made, bender: Bender) -> Arc:
    """The arc that one mark makes."""
    start = arc_start(float(made.at), made.reference, made.hook, made.bend, bender)
    return Arc(start, made.bend, made.roll)


def arcs(marks: Iterable[Made], bender: Bender) -> tuple[Arc, ...]:
    """The arcs that marks make, in order of position along the conduit."""
    return tuple(sorted((arc_of(mark, bender) for mark in marks), key=lambda arc: arc.start))


def simulate(marks: Iterable[Made], bender: Bender, length: float) -> Path:
    """The path of a conduit of `length` inches with these bends made. Arcs are not checked here."""
    return build_path(arcs(marks, bender), bender.radius, length)
