"""A list of sticks to bend, as CSV with our own columns.

One line a bend; lines with the same `stick` belong to one length of conduit, in order from its tape end. The
first line names the columns, in any order:

    stick     name of the stick (must be there)
    bend      kind of bend, as in `bench marks` (must be there; left blank: a straight stick)
    run       which run it belongs to; conduit, size: what it is bent from (both or neither)
    length    before cutting; finish: where it ends in the run; copies: how many alike
    method    true or book; roll: turn of the whole bend, degrees; from_end: along the straight conduit
    any measure of a bend by its name: distance, rise, angle, to_center, height, width, to_edge, gap, ...

A cell left blank is not given. Columns about the stick are taken from its first line. A list has 500 sticks at most,
copies counted, 40 bends to a stick, 200 letters to a cell.
"""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from itertools import islice
from typing import Any

from bench.core.bends import BENDS
from bench.core.given import measure_key
from bench.core.lengths import Units
from bench.core.notes import BenchError, Note
from bench.job.model import Job
from bench.job.written import MOST_COPIES, MOST_LETTERS, MOST_STICKS, job_from_written

_STICK = ("stick", "run", "length", "finish", "copies", "conduit", "size")
MOST_LINES = 5000
"""Lines of a list under its columns: ten bends to every stick it may have."""
_DIGITS = 9
_BEND = ("bend", "method", "roll", "from_end")


@dataclass(frozen=True, slots=True)
class _Line:
    """One line of a list: where it stands, for messages, and the cells that are filled in."""

    where: str
    cells: dict[str, str]


def columns() -> tuple[str, ...]:
    """Every column that can be in a list. `roll` is the turn of a bend; a rolling offset's own is
    `sideways`."""
    measures = {m.key for bend in BENDS.values() for m in (*bend.measures, *bend.extras)}
    return (*_STICK, *_BEND, *sorted((measures - {"roll"}) | {"sideways"}))


def job_from_csv(text: str, file: str, units: Units = Units.INCH) -> Job:
    """The job of a list, named for its `file`. Raises BenchError naming file and line, and what would work."""
    sticks: dict[str, dict[str, Any]] = {}
    for line in _lines(text, file):
        _take(line, sticks)
    if not sticks:
        raise _bad(f"{file}, line 1", "no sticks are listed", "Give one line for each bend.")
    name = file.removesuffix(".csv")
    try:
        return job_from_written({"name": name, "units": str(units), "sticks": list(sticks.values())})
    except BenchError as error:
        message = Note(
            error.code, "{file}: " + error.message.template, {**error.message.values, "file": file}
        )
        raise BenchError(message, error.remedy) from error


def _lines(text: str, file: str) -> list[_Line]:
    """The lines with anything in them, under checked columns."""
    try:
        reader = csv.reader(io.StringIO(text.removeprefix("\ufeff"), newline=""), strict=True)
        rows = [(reader.line_num, row) for row in islice(reader, MOST_LINES + 2)]
    except csv.Error as error:
        raise _bad(file, str(error), "Save it as CSV, comma separated, UTF-8.") from error
    if len(rows) > MOST_LINES + 1:
        said = f"a list has {MOST_LINES} lines at most, {MOST_STICKS} sticks"
        raise _bad(f"{file}, line {rows[-1][0]}", said, "Split it.")
    heads = [measure_key(head.strip()) for head in rows[0][1]] if rows else []
    _check_heads(heads, file)
    return [
        _Line(f"{file}, line {number}", _cells(heads, row, f"{file}, line {number}"))
        for number, row in rows[1:]
        if any(cell.strip() for cell in row)
    ]


def _check_heads(heads: list[str], file: str) -> None:
    where = f"{file}, line 1"
    if len(heads) > len(columns()):
        raise _bad(
            where, f"{len(heads)} columns are more than there are", f"Columns: {', '.join(columns())}."
        )
    for head in heads:
        if head not in columns():
            raise _bad(where, f"unknown column {head[:MOST_LETTERS]!r}", f"Columns: {', '.join(columns())}.")
        if heads.count(head) > 1:
            raise _bad(where, f"the column {head!r} is there twice", "Name every column once.")
    if "stick" not in heads:
        raise _bad(where, "there is no column 'stick'", f"Columns: {', '.join(columns())}.")


def _cells(heads: list[str], row: list[str], where: str) -> dict[str, str]:
    if len(row) != len(heads):
        said = "the line does not have as many cells as the first"
        raise _bad(where, said, "Give every column a cell.")
    for head, cell in zip(heads, row, strict=True):
        if len(cell) > MOST_LETTERS:
            raise _bad(where, f"the {head!r} has {len(cell)} letters", f"Write {MOST_LETTERS} at most.")
    return {head: cell.strip() for head, cell in zip(heads, row, strict=True) if cell.strip()}


def _take(line: _Line, sticks: dict[str, dict[str, Any]]) -> None:
    if "stick" not in line.cells:
        raise _bad(line.where, "the stick has no name", "Fill in the column 'stick'.")
    name = line.cells["stick"]
    if name not in sticks:
        sticks[name] = _stick(line)
    if "bend" in line.cells:
        sticks[name]["bends"].append(_bend(line))


def _stick(line: _Line) -> dict[str, Any]:
    cells = line.cells
    stick: dict[str, Any] = {"name": cells["stick"], "bends": []}
    stick |= {key: cells[key] for key in ("run", "length", "finish") if key in cells}
    if "copies" in cells:
        copies = cells["copies"]
        if not copies.isdecimal() or len(copies) > _DIGITS or not 1 <= int(copies) <= MOST_COPIES:
            said = f"{copies!r} is not a number of copies"
            raise _bad(line.where, said, f"Write a whole number from 1 to {MOST_COPIES}.")
        stick["copies"] = int(cells["copies"])
    setup = {key: cells[key] for key in ("conduit", "size") if key in cells}
    if len(setup) == 1:
        raise _bad(line.where, "conduit and size go together", "Fill in both, or neither.")
    return stick | ({"setup": setup} if setup else {})


def _bend(line: _Line) -> dict[str, Any]:
    cells, known = line.cells, (*_STICK, *_BEND)
    measures = {"roll" if key == "sideways" else key: cell for key, cell in cells.items() if key not in known}
    bend: dict[str, Any] = {"kind": cells["bend"], "measures": measures}
    bend |= {key: cells[key] for key in ("method", "from_end") if key in cells}
    if "method" in bend and bend["method"] not in ("true", "book"):
        raise _bad(line.where, f"{bend['method']!r} is not a method", "Write true or book.")
    if "roll" in cells:
        try:
            bend["roll"] = float(cells["roll"])
        except ValueError:
            said = f"{cells['roll']!r} is not a turn"
            raise _bad(line.where, said, "Write degrees: 0, 90, 180.") from None
    return bend


def _bad(where: str, what: str, remedy: str) -> BenchError:
    return BenchError(Note("list_unreadable", "{where}: {what}.", {"where": where, "what": what}), remedy)
