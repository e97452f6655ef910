"""Random sessions on a real job file keep their laws; `tests/benchmarks/fuzz_sessions.py` says which."""

from __future__ import annotations

from collections import Counter

from tests.benchmarks.fuzz_sessions import live
from tests.examples import examples


def test_sessions_with_everything_around_them() -> None:
    done = sum((live(seed, 40) for seed in range(examples(4))), Counter[str]())
    assert {"event", "restart", "full disk", "older state", "threads"} <= set(done)
