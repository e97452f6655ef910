"""Values as text for screen and paper: digits and fraction marks, never for the voice."""

from __future__ import annotations

from fractions import Fraction

from bench.core.lengths import SIXTEENTH, THIRTY_SECOND, Units, angle_text, text
from bench.core.notes import Note, Value


def written_value(value: Value, units: Units = Units.INCH) -> str:
    """A note's value as written: a Fraction is a length, a float an angle, an int a count, a str itself."""
    if isinstance(value, Fraction):
        return text(value, units, _scale(value))
    if isinstance(value, float):
        return angle_text(value)
    return str(value)


def _scale(value: Fraction) -> Fraction:
    """A sixteenth, or a thirty-second where the person gave one ("a hair over")."""
    return THIRTY_SECOND if value % SIXTEENTH and not value % THIRTY_SECOND else SIXTEENTH


def written(note: Note, units: Units = Units.INCH) -> str:
    """A note as text for the screen."""
    if not note.values:
        return note.template
    return note.template.format(**{key: written_value(value, units) for key, value in note.values.items()})


def printable(said: str) -> str:
    """Text that came from outside, fit for a terminal or for paper: one line, a space for whatever would
    move the cursor, change colors, turn the reading direction or not be seen."""
    return "".join(letter if letter.isprintable() else " " for letter in said)
