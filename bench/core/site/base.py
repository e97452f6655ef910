"""One thing that can be worked out from what is measured on site. All lengths inches, angles degrees."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from bench.core.bender import Setup
from bench.core.fittings import Fittings
from bench.core.given import Given, Number
from bench.core.notes import Note
from bench.core.plan import Measure, Quantity


@dataclass(frozen=True, slots=True)
class Lead:
    """A bend that follows: its kind, its measures, and how it is turned against the first one, degrees."""

    kind: str
    measures: Mapping[str, Number]
    roll: float = 0.0


@dataclass(frozen=True, slots=True)
class LeadsTo:
    """The bends that follow, in order from the tape end.

    `finish` is where the finished stick ends, as in `bench.core.stick.lay_out`; None where the measures say.
    """

    bends: tuple[Lead, ...]
    finish: Fraction | None = None


@dataclass(frozen=True, slots=True)
class Answer:
    """What follows from the measures.

    `headline` is the one number asked for. `notes` say it and what else to know; `values` are all numbers by
    key, exact. `leads_to` are the bends to be made of it.
    """

    headline: Number
    notes: tuple[Note, ...]
    values: Mapping[str, Number] = field(default_factory=dict)
    leads_to: LeadsTo | None = None


class Site(ABC):
    """One question of the site: `key` on the command line, what is asked in order, and the answer."""

    key: str
    name: str
    measures: tuple[Measure, ...]
    extras: tuple[Measure, ...] = ()

    @abstractmethod
    def answer(self, given: Given, setup: Setup, fittings: Fittings) -> Answer:
        """What follows. Raises BenchError saying what would work when the measures contradict one another."""


def length(key: str, label: str, least: str, most: str, optional: bool = False) -> Measure:
    """A length that is asked."""
    return Measure(key, Quantity.LENGTH, Fraction(least), Fraction(most), optional, label)


def angle(key: str, label: str, least: str, most: str, optional: bool = False) -> Measure:
    """An angle that is asked."""
    return Measure(key, Quantity.ANGLE, Fraction(least), Fraction(most), optional, label)


def count(key: str, label: str, least: str, most: str, optional: bool = False) -> Measure:
    """A number of things that is asked."""
    return Measure(key, Quantity.COUNT, Fraction(least), Fraction(most), optional, label)
