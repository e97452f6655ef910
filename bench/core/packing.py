"""Cutting pieces from sticks: as few sticks as can be, the saw's kerf counted, and what is left of each.

Bin packing: a piece takes its length and one kerf, a stick has its length and one kerf, since the last piece may end at
the stick's own end. First fit, longest first, gives sticks; a lower bound (Martello and Toth's L2) or an exact search
tells whether fewer could do. A bent stick is one piece: bends are not spliced.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from bench.core.notes import BenchError, Note

_STEPS = 20_000
"""Steps of the exact search at most: a tenth of a second."""
_MOST_SEARCHED = 60
"""Pieces at most that it is tried with."""


@dataclass(frozen=True, slots=True)
class CutStick:
    """The pieces of one stick, longest first, and what is left of it, inches."""

    pieces: tuple[Fraction, ...]
    left: Fraction


@dataclass(frozen=True, slots=True)
class Packing:
    """How pieces are cut from sticks of `length` inches. Fewer than `least` sticks cannot do."""

    length: Fraction
    sticks: tuple[CutStick, ...]
    least: int

    @property
    def best(self) -> bool:
        """Whether it is known that no fewer sticks do."""
        return len(self.sticks) == self.least

    @property
    def shared(self) -> bool:
        """Whether any stick gives more than one piece: else there is nothing to plan."""
        return any(len(stick.pieces) > 1 for stick in self.sticks)

    @property
    def pieces(self) -> int:
        """How many pieces there are."""
        return sum(len(stick.pieces) for stick in self.sticks)

    def kept(self, usable: Fraction) -> tuple[Fraction, ...]:
        """What is left over and worth keeping: `usable` inches or longer, the longest first."""
        return tuple(sorted((stick.left for stick in self.sticks if stick.left >= usable), reverse=True))


def pack(pieces: Sequence[Fraction], length: Fraction, kerf: Fraction) -> Packing:
    """The pieces on as few sticks as was found. Raises BenchError for a piece longer than a stick."""
    ordered = sorted(pieces, reverse=True)
    if ordered and ordered[0] > length:
        raise BenchError(
            Note(
                "piece_too_long",
                "A piece of {piece} is longer than a stick of {length}.",
                {"piece": ordered[0], "length": length},
            ),
            Note("piece_coupled", "Make it of two pieces with a coupling."),
        )
    part = math.lcm(length.denominator, kerf.denominator, *(piece.denominator for piece in ordered))
    room = int((length + kerf) * part)
    sizes = [int((piece + kerf) * part) for piece in ordered]
    bins, least = _first_fit(sizes, room), lower_bound(sizes, room)
    if len(bins) > least and len(sizes) <= _MOST_SEARCHED:
        bins, least = _Search(sizes, room, bins, least).done()
    return Packing(length, tuple(_cut([ordered[i] for i in bin_], length, kerf) for bin_ in bins), least)


def lower_bound(sizes: Sequence[int], room: int) -> int:
    """No fewer bins of `room` can hold these sizes: L2 of Martello and Toth (Knapsack Problems, 1990, chapter 8).

    For each threshold, sizes over `room` less it stand alone, those over half of `room` too, and what smaller ones,
    down to the threshold, do not find room for beside the latter takes more bins.
    """
    best = -(-sum(sizes) // room)
    for small in sorted({size for size in sizes if 2 * size <= room} | {0}):
        alone = [size for size in sizes if size > room - small]
        large = [size for size in sizes if room < 2 * size and size <= room - small]
        rest = sum(size for size in sizes if small <= size and 2 * size <= room)
        over = rest - (len(large) * room - sum(large))
        best = max(best, len(alone) + len(large) + max(0, -(-over // room)))
    return best


def _first_fit(sizes: Sequence[int], room: int) -> list[list[int]]:
    """Each in the first bin with room, `sizes` being the largest first: indexes by bin."""
    bins: list[list[int]] = []
    free: list[int] = []
    for index, size in enumerate(sizes):
        found = next((number for number, left in enumerate(free) if left >= size), None)
        if found is None:
            bins.append([index])
            free.append(room - size)
        else:
            bins[found].append(index)
            free[found] -= size
    return bins


class _Search:
    """Branch and bound: the next largest into every bin of other room, or into a new one."""

    def __init__(self, sizes: Sequence[int], room: int, bins: list[list[int]], least: int) -> None:
        self.sizes, self.room, self.best, self.least = sizes, room, bins, least
        self.left_from = [sum(sizes[index:]) for index in range(len(sizes) + 1)]
        self.steps = 0

    def done(self) -> tuple[list[list[int]], int]:
        """The best found, and how many are needed as far as is known."""
        self._place(0, [], [])
        whole = self.steps < _STEPS
        return self.best, len(self.best) if whole else self.least

    def _place(self, index: int, bins: list[list[int]], free: list[int]) -> None:
        self.steps += 1
        if self.steps >= _STEPS or len(self.best) == self.least:
            return
        if index == len(self.sizes):
            if len(bins) < len(self.best):
                self.best = [list(one) for one in bins]
            return
        more = self.left_from[index] - sum(free)
        if len(bins) + max(0, -(-more // self.room)) >= len(self.best):
            return
        size = self.sizes[index]
        tried: set[int] = set()
        for number, left in enumerate(free):
            if left < size or left in tried:
                continue
            tried.add(left)
            bins[number].append(index)
            free[number] -= size
            self._place(index + 1, bins, free)
            free[number] += size
            bins[number].pop()
        if len(bins) + 1 < len(self.best):
            self._place(index + 1, [*bins, [index]], [*free, self.room - size])


def _cut(pieces: Sequence[Fraction], length: Fraction, kerf: Fraction) -> CutStick:
    left = length - sum(pieces, Fraction(0)) - len(pieces) * kerf
    return CutStick(tuple(pieces), max(Fraction(0), left))
