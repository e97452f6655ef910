"""Where a run is fastened: near each box, at most so far apart, never on a bend or a joint."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

from bench.core.code import Support
from bench.core.notes import Note

Span = tuple[float, float]
_CLEAR = 1.0
"""How far a strap's middle stays off a bend or joint, inches: about its own width (common practice, no source)."""


def supports(
    length: float, bends: Sequence[Span], rule: Support
) -> tuple[tuple[Fraction, ...], tuple[Note, ...]]:
    """Places to fasten a run of `length` inches between two boxes, inches from its start, and what could not
    be.

    `bends` are the stretches (inches from the start) where no strap sits: arcs and joints. A reminder of the
    code's distances in `rule`, not a design: the local code decides.
    """
    near, every = float(rule.from_box), float(rule.every)
    places = [_back(min(near, length / 2), bends)]
    while length - places[-1] > near:
        last = _forward(length - near, bends)
        places.append(last if last <= places[-1] + every else _onward(places[-1], every, bends))
    notes = _notes(places, length, rule)
    return tuple(Fraction(round(place * 16), 16) for place in places), notes


def _onward(last: float, every: float, bends: Sequence[Span]) -> float:
    """The next place, moved back off a bend, unless the bend reaches all the way back."""
    place = _back(last + every, bends)
    return place if place > last + _CLEAR else _forward(last + every, bends)


def _back(place: float, bends: Sequence[Span]) -> float:
    wanted = place
    while (bend := _bend_at(place, bends)) is not None:
        place = bend[0] - _CLEAR
    return place if place > 0 else _forward(wanted, bends)


def _forward(place: float, bends: Sequence[Span]) -> float:
    while (bend := _bend_at(place, bends)) is not None:
        place = bend[1] + _CLEAR
    return place


def _bend_at(place: float, bends: Sequence[Span]) -> Span | None:
    """The bend or joint that a strap there would sit on."""
    return next((span for span in bends if span[0] < place < span[1]), None)


def _notes(places: Sequence[float], length: float, rule: Support) -> tuple[Note, ...]:
    near, every = float(rule.from_box), float(rule.every)
    found = []
    if places[0] > near or length - places[-1] > near:
        found.append(
            Note(
                "support_near_box",
                "A bend is in the way of a strap within {near} of a box.",
                {"near": rule.from_box},
            )
        )
    if any(after - before > every for before, after in pairwise(places)):
        found.append(
            Note("support_too_far", "A bend keeps two straps more than {every} apart.", {"every": rule.every})
        )
    return tuple(found)
