"""What a stick cannot take: bends that run off it or into each other are refused, with what would work."""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

from bench.core.bender import Setup
from bench.core.lengths import round_to
from bench.core.notes import BenchError, Note, Value
from bench.core.plan import Mark
from bench.core.simulate import arc_of
from bench.core.simulate import arcs as arcs_of

OVERLAP = "bends_overlap"
"""Code of the error where two bends run into each other."""


def refuse_off_the_stick(
    setup: Setup, marks: Sequence[Mark], length: Fraction, cut_at: Fraction | None
) -> None:
    """Refuse marks (from the tape end) of bends that begin before it or end beyond the stick or its cut."""
    end = length if cut_at is None else cut_at
    if end > length:
        values = {"needed": end, "length": length}
        message = Note("stick_too_short", "This takes {needed} of conduit; the stick is {length}.", values)
        raise BenchError(message, Note("use_coupling", "Use a longer stick, or end it sooner and couple on."))
    arcs = arcs_of(marks, setup.bender)
    last = arcs[-1].end(setup.bender.radius) if arcs else 0.0
    if last > end:
        values = {"needed": round_to(last, setup.scale), "length": end}
        message = Note(
            "bends_off_stick", "The last bend ends at {needed}; the stick ends at {length}.", values
        )
        raise BenchError(message, Note("next_stick", "Put the last bend on the next stick."))
    if arcs and (arcs[0].start < 0 or marks[0].at < 0):
        back = round_to(-min(arcs[0].start, float(marks[0].at)) + float(setup.scale) / 2, setup.scale)
        message = Note("bend_before_end", "The first bend begins {back} before the tape end.", {"back": back})
        raise BenchError(
            message, Note("move_bends_on", "Move the bends on by {back} or more.", {"back": back})
        )


def refuse_overlaps(setup: Setup, marks: Sequence[Mark], owners: Sequence[int]) -> None:
    """Refuse bends of which one does not end before the next begins. `owners` has the bend of each mark."""
    spans: dict[int, tuple[float, float]] = {}
    for mark, owner in zip(marks, owners, strict=True):
        arc = arc_of(mark, setup.bender)
        start, end = spans.get(owner, (math.inf, -math.inf))
        spans[owner] = (min(start, arc.start), max(end, arc.end(setup.bender.radius)))
    placed = sorted((*span, owner) for owner, span in spans.items())
    for (_, end, owner), (start, _, other) in pairwise(placed):
        if end - start > float(setup.scale):
            lack = Fraction(math.ceil((end - start) / float(setup.scale))) * setup.scale
            values: dict[str, Value] = {"first": owner + 1, "second": other + 1, "lack": lack}
            message = Note(OVERLAP, "Bends {first} and {second} run into each other by {lack}.", values)
            raise BenchError(message, Note("move_apart", "Move them {lack} apart or more.", values))
