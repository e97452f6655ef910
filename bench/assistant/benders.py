"""Stores the benders that the dialogue measures and learns, and loads them again."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path

from bench.dialogue.effects import Effect, ForgetBender, KeepBender, KeepLearning
from bench.job.learning import Learning
from bench.job.model import Profile
from bench.memory.benders import BenderFile
from bench.memory.learned import LearnedFile


def kept_profiles(folder: Path, known: Sequence[Profile] = ()) -> tuple[Profile, ...]:
    """The stored benders, then the others in `known`. Raises BenchError when the file is damaged."""
    listed = BenderFile(folder).all()
    there = {(one.name, one.conduit, one.size) for one in listed}
    return (*listed, *(one for one in known if (one.name, one.conduit, one.size) not in there))


def kept_learning(folder: Path) -> tuple[Learning, ...]:
    """What was learned about the benders. Raises BenchError when the file is damaged."""
    return tuple(kept.learning for kept in LearnedFile(folder).all())


def keep_benders(folder: Path, effects: Sequence[Effect]) -> None:
    """Store or remove every bender measured or learned in this step. Raises BenchError on failure."""
    for effect in effects:
        if isinstance(effect, KeepBender):
            BenderFile(folder).keep(effect.profile)
        elif isinstance(effect, ForgetBender):
            BenderFile(folder).remove(effect.profile)
        elif isinstance(effect, KeepLearning):
            LearnedFile(folder).keep(effect.learning, datetime.now(UTC))
