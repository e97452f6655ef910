"""The sheet's part about one stick: heading, marked stick, bend table, finished shape, checks."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from bench.core.checks import checks
from bench.core.lengths import SIXTEENTH, Units, angle_text, round_to, text
from bench.core.notes import Note
from bench.language.write import written, written_value
from bench.sheet.bend_table import bend_table
from bench.sheet.contents import SheetJob, SheetStick
from bench.sheet.drawing import Block, labeled, line, moved, shortened, stacked, width_of, words
from bench.sheet.figures import built
from bench.sheet.finished_shape import finished_shape
from bench.sheet.marked_stick import marked_stick
from bench.sheet.rack_table import rack_table
from bench.sheet.seat_drawings import seat_drawings

_NARROWEST = 130.0
"""Minimum width of a finished shape beside the bend table, points."""
_BESIDE = 18.0


@dataclass(frozen=True, slots=True)
class Density:
    """Sizes for one stick, in points: type of the marks in the drawing (0: numbers only) and in the bend table, height
    of the finished shape and of the bender at each bend (0: not drawn)."""

    place: float
    table: float
    shape: float
    beside: bool
    seats: float = 0.0


DENSITIES = (
    Density(place=18, table=16, shape=110, beside=False, seats=84),
    Density(place=16, table=15, shape=84, beside=True, seats=66),
    Density(place=16, table=15, shape=84, beside=True),
    Density(place=14, table=13, shape=66, beside=True),
    Density(place=0, table=12.5, shape=54, beside=True),
)
"""From loose to dense. Capitals, 0.668 of the size, of 18, 16, 14 and 12.5 points are 24, 21, 19 and 17 minutes of arc
at arm's length (0.6 m). The minimum for easy reading is 16 (ISO 9241-303:2011, from memory)."""


def stick_parts(job: SheetJob, entry: SheetStick, density: Density, width: float) -> list[Block]:
    """The blocks of one stick, starting with its heading."""
    stick = entry.stick
    parts = [_heading(job, entry, width)]
    if stick.marks:
        place = marked_stick(
            stick.length, stick.marks, stick.cut_at, entry.units, stick.setup.scale, width, density.place
        )
        parts += [place, _table_and_shape(entry, density, width)]
        parts += _seats(entry, density, width)
    if entry.rack:
        parts.append(rack_table(job, entry, density.table, width))
    parts += [labeled(label, said, width) for label, said in _said(job, entry)]
    parts += [labeled("Mind", said, width, bold=True) for said in _warnings(entry)]
    return parts


def _seats(entry: SheetStick, density: Density, width: float) -> Iterator[Block]:
    """The drawings of the bender at each bend, if the density includes them."""
    if density.seats:
        stick = entry.stick
        block = seat_drawings(
            stick.in_order, stick.in_the_air, stick.setup.bender, float(stick.length), width, density.seats
        )
        if block.height:
            yield block


def _heading(job: SheetJob, entry: SheetStick, width: float) -> Block:
    """The heading: the stick's name, conduit, length and bender."""
    setup, units = entry.stick.setup, entry.units
    many = f", make {entry.copies}" if entry.copies > 1 else ""
    bender = "typical bender" if setup.bender.typical else f"bender {setup.bender.name}"
    taken = f"take-up {text(setup.bender.take_up, units)}, gain {text(setup.bender.gain, units)}"
    right = f"{_pipe(job, entry)}, {bender}: {taken}; {angle_text(entry.stick.total_degrees)} of bend"
    right = shortened(right, width * 0.78)
    left = shortened(f"Stick {entry.name}{many}", width - width_of(right) - 12, 14, bold=True)
    shapes = (
        line((0, -1), (width, -1), 1.6),
        words(0, -14, left, 14, bold=True),
        words(width, -14, right, anchor="end"),
    )
    return Block(17, shapes)


def _pipe(job: SheetJob, entry: SheetStick) -> str:
    conduit = entry.stick.setup.conduit
    return f"{built(entry.stick.length, entry.units)} of {conduit.size} {job.word(conduit.kind)}"


def _table_and_shape(entry: SheetStick, density: Density, width: float) -> Block:
    """Table and shape side by side if they fit, else stacked."""
    od, path, units = entry.stick.setup.od, entry.stick.path, entry.units
    table, wide = bend_table(entry, density.table)
    if density.beside and width - wide - _BESIDE >= _NARROWEST:
        height = max(density.shape, table.height)
        shape = finished_shape(path, od, units, width - wide - _BESIDE, height)
        return Block(max(table.height, shape.height), (moved(table, 0, 0), moved(shape, wide + _BESIDE, 0)))
    full, _ = bend_table(entry, density.table, width)
    return stacked([full, finished_shape(path, od, units, width, density.shape)])


def _said(job: SheetJob, entry: SheetStick) -> Iterator[tuple[str, str]]:
    """The texts about a stick, each with its label."""
    stick = entry.stick
    for number in range(len(stick.bends)):
        yield _marks_of(entry, number), _of_bend(job, entry, number)
    if stick.bends:
        yield "Check", " ".join(_checks(entry))
    else:
        yield "Straight", "No bends."
    if stick.cut_at is not None:
        at, left = text(stick.cut_at, entry.units, stick.setup.scale), built(stick.remnant, entry.units)
        yield "Cut", f"At {at}; {left} left over."
    if entry.not_recorded:
        yield "Not known", f"Not recorded at the time: {', '.join(entry.not_recorded)}."


def _marks_of(entry: SheetStick, index: int) -> str:
    own = [
        mark.name for mark, owner in zip(entry.stick.marks, entry.stick.whose, strict=True) if owner == index
    ]
    several = f"{own[0]}–{own[-1]}"
    return f"Mark {own[0]}" if len(own) == 1 else f"Marks {several}" if len(several) < 4 else several


def _of_bend(job: SheetJob, entry: SheetStick, index: int) -> str:
    """One bend: what was requested, the method, and the bender value it uses."""
    plan, units = entry.stick.bends[index].plan, entry.units
    method = "by the book" if plan.chosen.method == "book" else "exact for this bender"
    asked = ", ".join(_measure(key, value, job, units) for key, value in plan.inputs.items())
    taken = ("shrink", plan.shrink) if round_to(plan.shrink, SIXTEENTH) else ("gain", plan.gain)
    takes = f"{taken[0]} {text(taken[1], units)}"
    return f"{job.word(plan.bend).capitalize()}, {method}: {asked}; {takes}."


def _measure(key: str, value: Fraction | float | int, job: SheetJob, units: Units) -> str:
    return f"{job.word(key)} {written_value(value, units)}"


def _checks(entry: SheetStick) -> Iterator[str]:
    for number, bend in enumerate(entry.stick.bends, start=1):
        own = f"Bend {number}: " if len(entry.stick.bends) > 1 else ""
        found = [
            written(check.note, entry.units).rstrip(".") for check in checks(bend.plan, entry.stick.setup)
        ]
        yield f"{own}{'; '.join(found)}."


def _warnings(entry: SheetStick) -> Iterable[str]:
    """The notes on this stick and each warning once."""
    stick = entry.stick
    notes: list[Note] = [*entry.notes, *stick.warnings]
    for bend in stick.bends:
        notes += bend.plan.warnings
    return dict.fromkeys(written(note, entry.units) for note in notes)
