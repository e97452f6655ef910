"""The table of a rack: one line per pipe, with its marks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from reportlab.graphics.shapes import String

from bench.core.lengths import text
from bench.language.write import written_value
from bench.sheet.bend_table import Rules, row_by_row
from bench.sheet.contents import RackPipe, SheetJob, SheetStick
from bench.sheet.drawing import BODY, Block, shortened, stacked, width_of

_GAP = 10.0
_LONGEST = 150.0
"""Maximum width of a pipe's name or measures, points."""


@dataclass(frozen=True, slots=True)
class _Column:
    head: str
    cells: tuple[str, ...]
    size: float
    bold: bool

    @property
    def width(self) -> float:
        """Width including the gap after it."""
        return max(width_of(self.head), *(width_of(cell, self.size, self.bold) for cell in self.cells)) + _GAP


def rack_table(job: SheetJob, entry: SheetStick, size: float, width: float) -> Block:
    """Every pipe of the rack with its marks in type of `size` points, the first pipe first.

    If the paper is too narrow for all marks, the rest go into another table.
    """
    first = RackPipe(entry.name, Fraction(0), entry.stick.marks, entry.stick.cut_at, _of_the_first(entry))
    names, *rest = _columns(job, entry, (first, *entry.rack), size)
    tables = [[names]]
    for column in rest:
        if sum(each.width for each in (*tables[-1], column)) > width:
            tables.append([names])
        tables[-1].append(column)
    return stacked([_table(columns, len(names.cells), size) for columns in tables], gap=5)


def _columns(job: SheetJob, entry: SheetStick, pipes: Sequence[RackPipe], size: float) -> Iterator[_Column]:
    def told(length: Fraction | None) -> str:
        return "" if length is None else text(length, entry.units, entry.stick.setup.scale)

    yield _Column(
        "Pipe", tuple(shortened(pipe.name, _LONGEST, size, bold=True) for pipe in pipes), size, True
    )
    yield _Column("Outside by", tuple(told(pipe.shift) if pipe.shift else "–" for pipe in pipes), BODY, False)
    for number in range(max(len(pipe.marks) for pipe in pipes)):
        places = tuple(told(pipe.marks[number].at) if number < len(pipe.marks) else "" for pipe in pipes)
        yield _Column(f"Mark {number + 1}", places, size, True)
    if any(pipe.cut_at is not None for pipe in pipes):
        yield _Column("Cut", tuple(told(pipe.cut_at) for pipe in pipes), size, True)
    if any(pipe.measures for pipe in pipes):
        own = (_measures(job, entry, pipe) for pipe in pipes)
        yield _Column("Its own", tuple(shortened(said, _LONGEST) for said in own), BODY, False)


def _of_the_first(entry: SheetStick) -> dict[str, Fraction | float | int]:
    """The first pipe's values of the measures that differ along the rack."""
    differ = {key for pipe in entry.rack for key in pipe.measures}
    asked = {key: value for bend in entry.stick.bends for key, value in bend.plan.inputs.items()}
    return {key: asked[key] for key in differ & set(asked)}


def _measures(job: SheetJob, entry: SheetStick, pipe: RackPipe) -> str:
    return ", ".join(
        f"{job.word(key)} {written_value(value, entry.units)}" for key, value in pipe.measures.items()
    )


def _table(columns: Sequence[_Column], rows: int, size: float) -> Block:
    ruled = Rules(size, sum(column.width for column in columns) - _GAP, rows)
    shapes: list[String] = []
    x = 0.0
    for column in columns:
        shapes += ruled.column(x, column.head, column.cells, column.size, column.bold)
        x += column.width
    return Block(ruled.height, (*row_by_row(shapes), *ruled.lines))
