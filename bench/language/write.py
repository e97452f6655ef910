"""Values as text for screen and paper: digits and fraction marks, never for the voice."""

from __future__ import annotations

from fractions import Fraction

from bench.core.lengths import Units, angle_text, text
from bench.core.notes import Note, Value


def written_value(value: Value, units: Units = Units.INCH) -> str:
    """A note's value as written: a Fraction is a length, a float an angle, an int a count, a str itself."""
    if isinstance(value, Fraction):
        return text(value, units)
    if isinstance(value, float):
        return angle_text(value)
    return str(value)


def written(note: Note, units: Units = Units.INCH) -> str:
    """A note as text for the screen."""
    if not note.values:
        return note.template
    return note.template.format(**{key: written_value(value, units) for key, value in note.values.items()})
