"""Conduit by kind and trade size."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class Conduit:
    """One kind (`emt`, `rmc`, `imc`, `aluminum`, `coated`, `metric`) and trade size of metal conduit.

    `designator` is the metric size. Outside diameter (over any `coating`), wall, inside diameter, the least bend radius
    to the centerline and the coating's thickness are inches; the tables and their sources are in `shared/conduit.toml`.
    """

    kind: str
    size: str
    designator: int
    od: Fraction
    wall: Fraction
    inside: Fraction
    least_radius: Fraction
    coating: Fraction = Fraction(0)
