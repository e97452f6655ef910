"""The laws of the dialogue hold in random conversations; `tests/benchmarks/fuzz.py` says which."""

from __future__ import annotations

import pytest

from bench.dialogue.state import Stage
from tests.benchmarks.fuzz import converse


@pytest.mark.parametrize("first", range(0, 24, 8))
def test_the_laws_hold_whatever_happens(first: int) -> None:
    reached = set()
    for seed in range(first, first + 8):
        reached |= set(converse(seed, 90).stages)
    assert {Stage.ASK, Stage.READ_BACK, Stage.WORK} <= reached, "a walk that gets nowhere shows nothing"
