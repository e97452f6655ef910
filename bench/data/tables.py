"""The tables in `shared/` as core objects: conduit, typical benders, trade constants."""

from __future__ import annotations

from dataclasses import dataclass, fields
from fractions import Fraction
from functools import cache
from typing import Any

from bench.core.bender import Bender, Setup
from bench.core.conduit import Conduit
from bench.core.fittings import Fittings, TakeOff
from bench.core.lengths import MILLIMETER, SIXTEENTH
from bench.core.notes import BenchError, Note
from bench.core.trade import Taught, Trade
from bench.data.files import read_toml, structured

_UNITS = {"inch": Fraction(1), "mm": MILLIMETER}
"""Inches per unit in which a row is written."""


@dataclass(frozen=True)
class _ConduitRow:
    kind: str
    size: str
    designator: int
    od: float
    wall: float
    inside: float
    least_radius: float
    coating: float = 0.0
    unit: str = "inch"


@dataclass(frozen=True)
class _BenderRow:
    name: str
    kind: str
    size: str
    take_up: float
    gain: float
    springback: float
    grip: float
    foot: float
    shoe_angles: tuple[float, ...]
    unit: str = "inch"


@dataclass(frozen=True)
class _TaughtRow:
    multiplier: str
    shrink: str
    angle: float = 22.5


@dataclass(frozen=True)
class _TradeRow:
    taught: tuple[_TaughtRow, ...]
    saddle_45: _TaughtRow
    box_offset: dict[str, str]


@dataclass(frozen=True)
class _FittingRow:
    kinds: tuple[str, ...]
    sizes: tuple[str, ...]
    connector: str
    coupling: str


@cache
def conduits() -> tuple[Conduit, ...]:
    """Every kind and size in the table."""
    rows = structured("conduit.toml", tuple[_ConduitRow, ...], read_toml("conduit.toml").get("conduit"))
    return tuple(Conduit(**_exact(row)) for row in rows)


def conduit(kind: str, size: str) -> Conduit:
    """One conduit by kind and trade size ("3/4"; "1-1/4", "20mm" and metric designators too). Raises BenchError."""
    wanted = size.strip().replace("-", " ").removesuffix('"').removesuffix("mm").rstrip()
    for row in conduits():
        if row.kind == kind and wanted in (row.size, str(row.designator)):
            return row
    kinds = dict.fromkeys(row.kind for row in conduits())
    sizes = [row.size for row in conduits() if row.kind == (kind if kind in kinds else "emt")]
    raise BenchError(
        Note("conduit_unknown", "There is no {kind} conduit of size {size}.", {"kind": kind, "size": size}),
        Note(
            "conduit_known",
            "Kinds: {kinds}. Sizes: {sizes}.",
            {"kinds": ", ".join(kinds), "sizes": ", ".join(sizes)},
        ),
    )


@cache
def _bender_rows() -> tuple[_BenderRow, ...]:
    rows = structured("benders.toml", tuple[_BenderRow, ...], read_toml("benders.toml").get("bender"))
    return tuple(rows)


def typical_bender(kind: str, size: str) -> Bender:
    """Typical bender values for a conduit, as a start. Raises BenchError when kind or size is unknown."""
    pipe = conduit(kind, size)
    row = next(r for r in _bender_rows() if (r.kind, r.size) == (pipe.kind, pipe.size))
    values = _exact(row)
    del values["kind"], values["size"]
    return Bender(**values | {"od": pipe.od, "typical": True, "springback": row.springback})


def benders() -> dict[tuple[str, str], Bender]:
    """Typical benders by kind and size of conduit."""
    return {(pipe.kind, pipe.size): typical_bender(pipe.kind, pipe.size) for pipe in conduits()}


@cache
def trade() -> Trade:
    """The constants taught in the trade."""
    row = structured("trade.toml", _TradeRow, read_toml("trade.toml"))
    box = row.box_offset
    return Trade(
        tuple(map(_taught, row.taught)),
        _taught(row.saddle_45),
        Fraction(box["first"]),
        Fraction(box["spacing"]),
    )


@cache
def fittings() -> Fittings:
    """The usual allowances for connectors and couplings."""
    rows = structured("fittings.toml", tuple[_FittingRow, ...], read_toml("fittings.toml").get("fittings"))
    return Fittings(
        {
            (kind, size): TakeOff(Fraction(row.connector), Fraction(row.coupling))
            for row in rows
            for kind in row.kinds
            for size in row.sizes
        }
    )


def setup(
    kind: str = "emt",
    size: str = "1/2",
    bender: Bender | None = None,
    scale: Fraction = SIXTEENTH,
    stick_length: Fraction = Fraction(120),
) -> Setup:
    """A setup for a conduit with the given bender or its typical one."""
    pipe = conduit(kind, size)
    return Setup(pipe, bender or typical_bender(kind, size), trade(), scale, stick_length)


def _taught(row: _TaughtRow) -> Taught:
    return Taught(row.angle, Fraction(row.multiplier), Fraction(row.shrink))


def _exact(row: Any) -> dict[str, Any]:
    """A row's fields in inches, with decimals as exact fractions."""
    values = {field.name: getattr(row, field.name) for field in fields(row)}
    inches = _UNITS[values.pop("unit")]
    return {
        key: Fraction(str(value)) * inches if isinstance(value, float) else value
        for key, value in values.items()
    }
