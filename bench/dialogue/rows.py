"""Marks that are read together: rows of a few, and rows of many that are evenly spaced. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

from bench.core.lengths import round_to
from bench.core.notes import Note, Value
from bench.core.stick import Stick
from bench.dialogue.knowledge import Knowledge

MANY = 5
"""This many evenly spaced marks or more are read as one row, even where rows were not asked for."""
_AT_ONCE = 4
"""How many marks a person can keep in mind at once."""


def groups(stick: Stick, to_make: Sequence[int], together: bool) -> list[tuple[int, ...]]:
    """The marks still to be drawn, those together that are read at once; `to_make` in order of position."""
    made = made_marks(stick, to_make)
    found: list[tuple[int, ...]] = []
    for row in _of_one_bend(stick, to_make):
        along = all(stick.taped(index + 1, made) is None for index in row)
        if along and evenly_spaced(stick, row):
            found.append(row)
        elif along and together:
            found += [row[start : start + _AT_ONCE] for start in range(0, len(row), _AT_ONCE)]
        else:
            found += [(index,) for index in row]
    return found


def made_marks(stick: Stick, to_make: Sequence[int]) -> list[int]:
    """Numbers of the marks that are bent already."""
    return [number for number in range(1, len(stick.marks) + 1) if number - 1 not in to_make]


def evenly_spaced(stick: Stick, row: Sequence[int]) -> bool:
    """Whether these are many marks of like bends, as far apart from one another as the tape can tell."""
    if len(row) < MANY:
        return False
    marks = [stick.marks[index] for index in row]
    apart = [after.at - before.at for before, after in pairwise(marks)]
    alike = {(mark.bend, mark.roll, mark.reference, mark.hook) for mark in marks}
    return len(alike) == 1 and max(apart) - min(apart) <= stick.setup.scale


def spacing(stick: Stick, row: Sequence[int]) -> Fraction:
    """How far apart evenly spaced marks are on the average, to half of what the tape shows."""
    first, last = stick.marks[row[0]].at, stick.marks[row[-1]].at
    return round_to((last - first) / (len(row) - 1), stick.setup.scale / 2)


def said_together(stick: Stick, row: Sequence[int], knowledge: Knowledge) -> Note:
    """The marks of a row in one sentence: each of them, or of many the first, the spacing and the last."""
    first, last = stick.marks[row[0]].at, stick.marks[row[-1]].at
    if len(row) == 1:
        return knowledge.note("mark", name=row[0] + 1, at=first)
    if evenly_spaced(stick, row):
        return knowledge.note("marks_even", count=len(row), first=first, apart=spacing(stick, row), last=last)
    values: dict[str, Value] = {f"at_{index + 1}": stick.marks[index].at for index in row}
    listed = ", ".join(f"{{{name}}}" for name in values)
    lead = knowledge.prompts["marks"] if row[0] == 0 else knowledge.prompts["marks_from"]
    number: dict[str, Value] = {} if row[0] == 0 else {"number": row[0] + 1}
    return Note("marks", f"{lead} {listed}.", number | values)


def _of_one_bend(stick: Stick, to_make: Sequence[int]) -> list[tuple[int, ...]]:
    """The marks to make, split where the bend they belong to changes."""
    rows: list[list[int]] = []
    for index in to_make:
        if rows and stick.whose[rows[-1][-1]] == stick.whose[index] and rows[-1][-1] == index - 1:
            rows[-1].append(index)
        else:
            rows.append([index])
    return [tuple(row) for row in rows]
