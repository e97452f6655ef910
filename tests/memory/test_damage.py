"""One damage of every kind: told, never used, never a traceback. `tests/benchmarks/damage.py` makes hundreds."""

from __future__ import annotations

import pytest

from tests.benchmarks import damage


@pytest.mark.parametrize("kind", damage.KINDS)
def test_what_is_damaged_is_told_and_not_used(kind: str) -> None:
    assert damage.trial(11, kind, steps=5) == ""


@pytest.mark.parametrize("kind", ["a digit of the state", "a figure of what was learned"])
def test_a_start_that_says_nothing_is_noticed(kind: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("bench.memory.store.Store.tell", lambda self, message, remedy: None)
    assert "without a word" in damage.trial(11, kind, steps=5)


def test_what_is_learned_used_against_its_digest_is_noticed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("bench.memory.whole.digest", lambda rows: Anything())
    trials = [damage.trial(seed, "a figure of what was learned", steps=1) for seed in range(11, 21)]
    assert "other things learned" in trials


def test_a_row_used_against_its_digest_is_noticed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("bench.memory.jobs.digest", lambda detail: Anything())
    assert any(damage.trial(seed, "a digit of the state", steps=5) for seed in range(11, 21))


class Anything(str):
    """Equal to every digest."""

    __slots__ = ()
    __hash__ = str.__hash__

    def __eq__(self, other: object) -> bool:
        return True

    def __ne__(self, other: object) -> bool:
        return False
