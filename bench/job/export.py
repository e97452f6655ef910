"""A laid out job as data for other programs: JSON and CSV, lengths in inches, angles in degrees."""

from __future__ import annotations

import csv
import io
from fractions import Fraction
from typing import Any

from bench.core.lengths import text
from bench.core.materials import Cutting
from bench.core.plan import Mark
from bench.job.layout import JobLayout, LaidStick
from bench.job.model import JobBend
from bench.language.write import written

_COLUMNS = (
    "stick",
    "run",
    "pipe",
    "conduit",
    "size",
    "mark",
    "at",
    "at_text",
    "reference",
    "hook",
    "bend",
    "pull",
    "roll",
    "order",
    "cut_at",
)


def layout_to_json(layout: JobLayout) -> dict[str, Any]:
    """The whole job: sticks with their marks, readings and notes, and the material list."""
    job = layout.job
    return {
        "job": job.number,
        "name": job.name,
        "place": job.place,
        "finished": job.finished,
        "sticks": [_stick(one) for one in layout.sticks],
        "materials": [written(item.note, job.units) for item in layout.run.materials],
        "cuts": [_cuts(one) for one in layout.run.cuttings],
    }


def _cuts(cutting: Cutting) -> dict[str, Any]:
    """How the sticks of one conduit are cut; lengths in inches. `least` is how few sticks could do at best."""
    packing = cutting.packing
    return {
        "conduit": cutting.conduit,
        "size": cutting.size,
        "length": float(packing.length),
        "sticks": [
            {"pieces": [float(piece) for piece in stick.pieces], "left": float(stick.left)}
            for stick in packing.sticks
        ],
        "least": packing.least,
    }


def layout_to_csv(layout: JobLayout) -> str:
    """One line for each mark of each stick, in order from the tape end."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(_COLUMNS)
    for one in layout.sticks:
        if one.stick is None:
            continue
        asked, stick = one.asked, one.stick
        for mark in stick.marks:
            shown = _mark(mark, one)
            cells = {
                "stick": asked.name,
                "run": asked.run,
                "pipe": asked.pipe,
                "conduit": asked.tools.conduit,
                "size": asked.tools.size,
                "mark": mark.name,
                "cut_at": _inches(stick.cut_at),
            } | {key: shown[key] for key in _COLUMNS if key in shown}
            writer.writerow(["" if cells[key] is None else cells[key] for key in _COLUMNS])
    return out.getvalue()


def _stick(one: LaidStick) -> dict[str, Any]:
    asked, stick = one.asked, one.stick
    own = asked.tools.profile
    return {
        "name": asked.name,
        "run": asked.run,
        "pipe": asked.pipe,
        "conduit": asked.tools.conduit,
        "size": asked.tools.size,
        "bender": None
        if own is None
        else {
            "name": own.name,
            "take_up": float(own.take_up),
            "gain": float(own.gain),
            "springback": own.springback,
            "hand": own.hand,
            "typical": own.typical,
        },
        "shift": float(asked.shift),
        "length": float(asked.length),
        "cut_at": None if stick is None else _inches(stick.cut_at),
        "marks": [] if stick is None else [_mark(mark, one) for mark in stick.marks],
        "total_degrees": None if stick is None else stick.total_degrees,
        "bends": [_bend(bend) for bend in asked.bends],
        "as_spoken": asked.spoken is not None,
        "differs": one.differs,
        "not_recorded": list(asked.not_recorded),
        "notes": [written(note, asked.units) for note in one.notes],
    }


def _mark(mark: Mark, one: LaidStick) -> dict[str, Any]:
    number = int(mark.name)
    return {
        "name": mark.name,
        "at": float(mark.at),
        "at_text": text(mark.at, one.asked.units),
        "reference": str(mark.reference),
        "hook": str(mark.hook),
        "bend": mark.bend,
        "pull": mark.pull,
        "roll": mark.roll,
        "order": mark.order,
        "marked": number in one.marked,
        "bent": number in one.bent,
    }


def _bend(bend: JobBend) -> dict[str, Any]:
    return {
        "kind": bend.kind,
        "measures": {key: _plain(value) for key, value in bend.measures.items()},
        "method": str(bend.method),
        "roll": bend.roll,
        "finished": bend.finished,
        "readings": [
            {
                "check": reading.check,
                "value": _plain(reading.value),
                "verdict": reading.verdict,
                "mended": reading.mended,
            }
            for reading in bend.readings
        ],
    }


def _plain(value: Fraction | float | int) -> float | int:
    return float(value) if isinstance(value, Fraction) else value


def _inches(value: Fraction | None) -> float | None:
    return None if value is None else float(value)
