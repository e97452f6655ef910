"""Pieces cut from sticks: none lost, none over, and the fewest sticks where that is claimed."""

from __future__ import annotations

import math
from collections import Counter
from fractions import Fraction as F
from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp

from bench.core.notes import BenchError
from bench.core.packing import Packing, lower_bound, pack
from tests.examples import examples

STICK, KERF = F(120), F(1, 16)


def pieces(most: int) -> st.SearchStrategy[list[F]]:
    """Up to so many pieces in eighths, up to a whole stick."""
    return st.lists(st.integers(16, 960).map(lambda n: F(n, 8)), max_size=most)


def test_six_pieces_need_two_sticks() -> None:
    """29 1/8: four and their kerfs are 116 3/4, so a ten-foot stick holds four (arithmetic)."""
    cut = pack([F(233, 8)] * 6, STICK, KERF)
    assert [len(stick.pieces) for stick in cut.sticks] == [4, 2]
    assert cut.sticks[0].left == 120 - 4 * F(233, 8) - 4 * KERF
    assert cut.best


def test_the_last_piece_may_end_at_the_end_of_the_stick() -> None:
    """Four pieces and three cuts are a stick exactly; a hair more is two sticks."""
    exact = (STICK - 3 * KERF) / 4
    assert len(pack([exact] * 4, STICK, KERF).sticks) == 1
    assert pack([exact] * 4, STICK, KERF).sticks[0].left == 0
    assert len(pack([exact + F(1, 64)] * 4, STICK, KERF).sticks) == 2


def test_first_fit_is_mended_by_the_search() -> None:
    """Of 60: 28 17 10 5 and 21 20 19 are two sticks whole; longest first puts 28 by 21 and takes three (counted)."""
    cut = pack([F(size) for size in (28, 21, 20, 19, 17, 10, 5)], F(60), F(0))
    assert [sum(stick.pieces) for stick in cut.sticks] == [60, 60]
    assert cut.best


def test_a_piece_longer_than_a_stick_is_refused() -> None:
    with pytest.raises(BenchError) as caught:
        pack([F(121)], STICK, KERF)
    assert caught.value.code == "piece_too_long"


def test_nothing_to_cut() -> None:
    assert pack([], STICK, KERF) == Packing(STICK, (), 0)


@given(pieces(30), st.sampled_from([F(0), F(1, 32), F(1, 16), F(1, 8)]))
@settings(max_examples=examples(60), deadline=None)
def test_no_piece_is_lost_and_no_stick_is_over(wanted: list[F], kerf: F) -> None:
    cut = pack(wanted, STICK, kerf)
    assert Counter(piece for stick in cut.sticks for piece in stick.pieces) == Counter(wanted)
    for stick in cut.sticks:
        assert stick.pieces
        needed = sum(stick.pieces) + (len(stick.pieces) - 1) * kerf
        assert needed <= STICK
        assert stick.left == max(0, STICK - needed - kerf)
    assert cut.least <= len(cut.sticks)


@given(pieces(9))
@settings(max_examples=examples(25), deadline=None)
def test_as_few_as_a_solver_finds(wanted: list[F]) -> None:
    """Against HiGHS (scipy): assign pieces to sticks, the fewest opened."""
    cut = pack(wanted, STICK, KERF)
    assert cut.best
    assert len(cut.sticks) == _solver(wanted)


@given(st.lists(st.integers(1, 30), min_size=1, max_size=6))
@settings(max_examples=examples(40), deadline=None)
def test_the_bound_is_one(sizes: list[int]) -> None:
    """No order of filling, one bin after another, does with fewer."""
    fewest = min(_in_turn(order) for order in set(permutations(sizes)))
    assert lower_bound(sorted(sizes, reverse=True), 30) <= fewest


def test_the_bound_of_the_handbook() -> None:
    """Martello and Toth, Knapsack Problems, 1990, chapter 8, the example of the lower bounds (from memory): 3 by the
    sum alone, 4 by L2."""
    sizes = [70, 60, 50, 33, 33, 33, 11, 7, 3]
    assert -(-sum(sizes) // 100) == 3
    assert lower_bound(sizes, 100) == 4


@given(st.integers(2, 40).flatmap(lambda room: st.tuples(st.just(room), st.lists(st.integers(1, room)))))
@settings(max_examples=examples(60))
def test_the_bound_is_as_high_as_any_threshold_makes_it(packed: tuple[int, list[int]]) -> None:
    """L2 as it is defined, over every whole threshold: a bound too low would call the fewest sticks unproved."""
    room, sizes = packed
    assert lower_bound(sorted(sizes, reverse=True), room) == max(
        _with_threshold(small, sizes, room) for small in range(room // 2 + 1)
    )


def _with_threshold(small: int, sizes: list[int], room: int) -> int:
    """Martello and Toth's L(alpha): J1 over room - alpha, J2 of the rest over half the room, J3 of the rest from alpha
    on."""
    first = [size for size in sizes if size > room - small]
    second = [size for size in sizes if room / 2 < size <= room - small]
    third = [size for size in sizes if small <= size <= room / 2]
    over = sum(third) - (len(second) * room - sum(second))
    return len(first) + len(second) + max(0, math.ceil(F(over, room)))


def _in_turn(order: tuple[int, ...]) -> int:
    bins, left = 0, 0
    for size in order:
        if size > left:
            bins, left = bins + 1, 30
        left -= size
    return bins


def _solver(wanted: list[F]) -> int:
    count = len(wanted)
    if not count:
        return 0
    sizes = [float(piece + KERF) for piece in wanted]
    columns = count + count * count
    rows: list[list[float]] = []
    for piece in range(count):
        row = [0.0] * columns
        for stick in range(count):
            row[count + piece * count + stick] = 1.0
        rows.append(row)
    for stick in range(count):
        row = [0.0] * columns
        row[stick] = -float(STICK + KERF)
        for piece in range(count):
            row[count + piece * count + stick] = sizes[piece]
        rows.append(row)
    low = [1.0] * count + [-float("inf")] * count
    high = [1.0] * count + [1e-9] * count
    found = milp(
        [1.0] * count + [0.0] * (count * count),
        constraints=LinearConstraint(rows, low, high),
        integrality=[1] * columns,
        bounds=Bounds(0, 1),
    )
    return round(float(found.fun))
