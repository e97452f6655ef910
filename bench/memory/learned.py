"""What was learned about the person's benders, in one small file next to them, with a digest of its content.

It holds every bend that was learned from, with its time, and every set of numbers that the person accepted."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import UTC, datetime
from fractions import Fraction
from pathlib import Path

import cattrs

from bench.core.notes import BenchError
from bench.job.learning import Learning
from bench.memory.whole import read_own, rows_of, set_aside, write_rows

LEARNED_FILE = "learned.json"
MOST_LEARNED = 1000
_SET_ASIDE = "It is not used. Move it away, and Bench starts learning again."

_CONVERTER = cattrs.Converter(forbid_extra_keys=True)
_CONVERTER.register_structure_hook(Fraction, lambda written, _: Fraction(written))
_CONVERTER.register_unstructure_hook(Fraction, str)


@dataclass(frozen=True, slots=True)
class Kept:
    """What is known about one bender. `read_at` and `taken_at` are the times of each bend and each acceptance, in the
    same order, ISO 8601 in UTC."""

    learning: Learning
    read_at: tuple[str, ...]
    taken_at: tuple[str, ...]


class LearnedFile:
    """The file of learned values in a data folder."""

    def __init__(self, folder: Path) -> None:
        """The file need not exist yet."""
        self.path = folder / LEARNED_FILE

    def all(self) -> tuple[Kept, ...]:
        """Everything learned. Raises BenchError when the file cannot be read."""
        text = read_own(self.path, "learned", _SET_ASIDE)
        if text is None:
            return ()
        try:
            rows = rows_of(json.loads(text), "learned", MOST_LEARNED)
            return _CONVERTER.structure(rows, tuple[Kept, ...])
        except Exception as error:
            raise BenchError(f"{self.path} is damaged: {error}", _SET_ASIDE, "learned_damaged") from error

    def keep(self, learning: Learning, now: datetime) -> None:
        """Store what is known about a bender, replacing the old entry. A damaged file is set aside first.

        Raises BenchError when it cannot be written.
        """
        try:
            known = self.all()
        except BenchError as error:
            if error.code != "learned_damaged":
                raise
            set_aside(self.path, "learned")
            known = ()
        before = next((one for one in known if one.learning.key == learning.key), None)
        others = [one for one in known if one.learning.key != learning.key]
        dated = _dated(learning, before, now.astimezone(UTC).isoformat(timespec="seconds"))
        write_rows(self.path, "learned", _CONVERTER.unstructure([*others, dated]))

    def forget(self, key: tuple[str, str, str]) -> bool:
        """Forget what is known about a bender. True if there was anything. Raises BenchError."""
        known = self.all()
        left = [one for one in known if one.learning.key != key]
        if len(left) < len(known):
            write_rows(self.path, "learned", _CONVERTER.unstructure(left))
        return len(left) < len(known)


def _dated(learning: Learning, before: Kept | None, now: str) -> Kept:
    """The entry with the times already stored; new items get `now`."""
    read = dict(zip(before.learning.evidence, before.read_at, strict=True)) if before else {}
    taken = before.taken_at[: len(learning.taken)] if before else ()
    return Kept(
        learning,
        tuple(read.get(one, now) for one in learning.evidence),
        (*taken, *[now] * (len(learning.taken) - len(taken))),
    )
