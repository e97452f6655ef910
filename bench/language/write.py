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
    """Text that came from outside on one line, with nothing in it that a terminal or paper would obey.

    What moves the cursor, changes colors or the direction of reading, or is not seen, is spelled out; spaces
    of every kind are plain ones.
    """
    return "".join(map(_seen, said))


def _seen(letter: str) -> str:
    if letter.isprintable():
        return letter
    return " " if letter.isspace() else letter.encode("unicode_escape", "backslashreplace").decode()
