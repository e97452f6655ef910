"""Lengths: exact fractions of an inch, rounded to the tape's scale at one door, written one way."""

from __future__ import annotations

from enum import StrEnum
from fractions import Fraction

SIXTEENTH = Fraction(1, 16)
THIRTY_SECOND = Fraction(1, 32)
FOOT = Fraction(12)
MILLIMETER = Fraction(5, 127)
"""One millimeter in inches: the inch is 25.4 mm exactly (international yard and pound agreement, 1959)."""


class Units(StrEnum):
    """What the person measures in."""

    INCH = "inch"
    METRIC = "metric"


def round_to(value: Fraction | float, scale: Fraction = SIXTEENTH) -> Fraction:
    """`value` (inches) rounded to the nearest multiple of `scale`, halves away from zero. The one door.

    In whole numbers: it is asked often, and fractions are slow.
    """
    top, bottom = value.as_integer_ratio()
    up, down = scale.as_integer_ratio()
    steps = (2 * abs(top) * down + bottom * up) // (2 * bottom * up)
    return Fraction(steps * up if top >= 0 else -steps * up, down)


def half_degrees(degrees: float) -> float:
    """An angle to the nearest half degree: nobody reads or holds finer."""
    return round(degrees * 2) / 2


def tape_scale(units: Units) -> Fraction:
    """The finest division read off a tape: a sixteenth of an inch, or a millimeter."""
    return SIXTEENTH if units is Units.INCH else MILLIMETER


def mixed(value: Fraction) -> tuple[int, Fraction]:
    """Whole inches and the proper fraction left of a length that is not negative."""
    whole = value.numerator // value.denominator
    return whole, value - whole


def inches_text(value: Fraction | float, scale: Fraction = SIXTEENTH) -> str:
    """`27 3/8"`, `3/4"`, `0"`, `-1/16"`: inches as written on a stick."""
    exact = round_to(value, scale)
    whole, part = mixed(abs(exact))
    sign = "-" if exact < 0 else ""
    pieces = [str(whole)] if whole or not part else []
    pieces += [f"{part.numerator}/{part.denominator}"] if part else []
    return sign + " ".join(pieces) + '"'


def feet_text(value: Fraction | float, scale: Fraction = SIXTEENTH) -> str:
    """`4' 2 3/8"` for a foot and more, inches alone below that."""
    exact = round_to(value, scale)
    if abs(exact) < FOOT:
        return inches_text(exact, scale)
    feet = abs(exact) // FOOT
    sign = "-" if exact < 0 else ""
    return f"{sign}{feet}' {inches_text(abs(exact) - feet * FOOT, scale)}"


def metric_text(value: Fraction | float) -> str:
    """`635 mm`: whole millimeters."""
    return f"{round_to(value, MILLIMETER) / MILLIMETER} mm"


def text(value: Fraction | float, units: Units = Units.INCH, scale: Fraction | None = None) -> str:
    """A length as the person writes it, in their units."""
    if units is Units.METRIC:
        return metric_text(value)
    return inches_text(value, scale or SIXTEENTH)


def angle_text(degrees: float) -> str:
    """`22½°`, `30°`: to the half degree where that is exact, `2.25°` in quarters, else one decimal."""
    halves = round(degrees * 2)
    if abs(degrees * 2 - halves) > 1e-9:
        quarter = abs(degrees * 4 - round(degrees * 4)) < 1e-9
        return f"{degrees:.2f}°" if quarter else f"{degrees:.1f}°"
    return f"{halves // 2}{'½' if halves % 2 else ''}°" if halves >= 2 or not halves % 2 else "½°"
