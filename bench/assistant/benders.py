"""The person's benders between the dialogue, which measures them, and the file that keeps them."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from bench.dialogue.effects import Effect, KeepBender
from bench.job.model import Profile
from bench.memory.benders import BenderFile


def kept_profiles(folder: Path, known: Sequence[Profile] = ()) -> tuple[Profile, ...]:
    """The benders of the file, then others the conversation knows. Raises BenchError when it is damaged."""
    listed = BenderFile(folder).all()
    there = {(one.name, one.conduit, one.size) for one in listed}
    return (*listed, *(one for one in known if (one.name, one.conduit, one.size) not in there))


def keep_benders(folder: Path, effects: Sequence[Effect]) -> None:
    """Keep every bender measured in this step. Raises BenchError when it cannot be written."""
    for effect in effects:
        if isinstance(effect, KeepBender):
            BenderFile(folder).keep(effect.profile)
