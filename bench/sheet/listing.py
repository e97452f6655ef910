"""A list of sticks to bend, as a CSV file of our own columns.

One line a bend; lines with the same `stick` belong to one length of conduit, in order from its tape end. The
first line names the columns, in any order:

    stick     name of the stick (must be there)
    bend      kind of bend, as in `bench marks` (must be there; left blank: a straight stick)
    run       which run it belongs to; conduit, size: what it is bent from
    length    before cutting; finish: where it ends in the run; copies: how many alike
    method    true or book; roll: turn of the whole bend, degrees; from_end: along the straight conduit
    any measure of a bend by its name: distance, rise, angle, to_center, height, width, to_edge, gap, ...

A cell left blank is not given. Columns about the stick are taken from its first line.
"""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Any

from bench.core.bends import BENDS
from bench.core.given import measure_key
from bench.core.lengths import Units
from bench.core.notes import BenchError, Note

_STICK = ("stick", "run", "length", "finish", "copies", "conduit", "size")
_BEND = ("bend", "method", "roll", "from_end")


def columns() -> tuple[str, ...]:
    """Every column that can be in a list. `roll` is the turn of a bend; a rolling offset's own is
    `sideways`."""
    measures = {m.key for bend in BENDS.values() for m in (*bend.measures, *bend.extras)}
    return (*_STICK, *_BEND, *sorted((measures - {"roll"}) | {"sideways"}))


def job_from_csv(path: Path, units: Units = Units.INCH) -> dict[str, Any]:
    """The job of a list, as plain data for `sheet_job_from_json`.

    Raises BenchError naming file and line when it cannot be read.
    """
    try:
        with path.open(newline="", encoding="utf-8-sig") as file:
            reader = csv.DictReader(file, strict=True)
            rows = [(reader.line_num, row) for row in reader]
            heads = [measure_key(head.strip()) for head in reader.fieldnames or ()]
    except (OSError, UnicodeDecodeError, csv.Error) as error:
        raise _bad(path, 0, str(error), "Save it as CSV, comma separated, UTF-8.") from error
    unknown = [head for head in heads if head not in columns()]
    if unknown or "stick" not in heads:
        said = f"unknown column {unknown[0]!r}" if unknown else "there is no column 'stick'"
        raise _bad(path, 1, said, f"Columns: {', '.join(columns())}.")
    sticks: dict[str, dict[str, Any]] = {}
    for line, row in rows:
        _take(path, line, row, sticks)
    if not sticks:
        raise _bad(path, 1, "no sticks are listed", "Give one line for each bend.")
    return {"name": path.stem, "units": str(units), "sticks": list(sticks.values())}


def _take(path: Path, line: int, row: dict[str, Any], sticks: dict[str, dict[str, Any]]) -> None:
    if None in row or None in row.values():
        raise _bad(
            path, line, "the line does not have as many cells as the first", "Give every column a cell."
        )
    cells = {measure_key(head.strip()): cell.strip() for head, cell in row.items() if cell.strip()}
    if not cells:
        return
    if "stick" not in cells:
        raise _bad(path, line, "the stick has no name", "Fill in the column 'stick'.")
    stick = sticks.setdefault(cells["stick"], _stick(path, line, cells))
    if "bend" in cells:
        stick["bends"].append(_bend(path, line, cells))


def _stick(path: Path, line: int, cells: dict[str, str]) -> dict[str, Any]:
    stick: dict[str, Any] = {"name": cells["stick"], "bends": []}
    stick |= {key: cells[key] for key in ("run", "length", "finish") if key in cells}
    if "copies" in cells:
        if not cells["copies"].isdecimal() or int(cells["copies"]) < 1:
            raise _bad(
                path, line, f"{cells['copies']!r} is no number of copies", "Write a whole number from 1."
            )
        stick["copies"] = int(cells["copies"])
    setup = {key: cells[key] for key in ("conduit", "size") if key in cells}
    return stick | ({"setup": setup} if setup else {})


def _bend(path: Path, line: int, cells: dict[str, str]) -> dict[str, Any]:
    known = (*_STICK, *_BEND)
    measures = {"roll" if key == "sideways" else key: cell for key, cell in cells.items() if key not in known}
    bend: dict[str, Any] = {"kind": cells["bend"], "measures": measures}
    bend |= {key: cells[key] for key in ("method", "from_end") if key in cells}
    if "method" in bend and bend["method"] not in ("true", "book"):
        raise _bad(path, line, f"{bend['method']!r} is no method", "Write true or book.")
    if "roll" in cells:
        try:
            bend["roll"] = float(cells["roll"])
        except ValueError:
            raise _bad(path, line, f"{cells['roll']!r} is no roll", "Write degrees: 0, 90, 180.") from None
    return bend


def _bad(path: Path, line: int, what: str, remedy: str) -> BenchError:
    where = f"{path.name}, line {line}" if line else path.name
    return BenchError(Note("list_unreadable", "{where}: {what}.", {"where": where, "what": what}), remedy)
