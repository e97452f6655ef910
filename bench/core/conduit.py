"""Conduit by kind and trade size."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class Conduit:
    """One kind (`emt`, `rmc`, `imc`) and trade size of steel conduit.

    `designator` is the metric size. Outside diameter, wall, inside diameter and the least bend radius to the
    centerline are inches; the tables and their sources are in `shared/conduit.toml`.
    """

    kind: str
    size: str
    designator: int
    od: Fraction
    wall: Fraction
    inside: Fraction
    least_radius: Fraction
