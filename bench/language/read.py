"""Written values as numbers: what a person types into a list, a file or a command line."""

from __future__ import annotations

import re
from fractions import Fraction

from bench.core.lengths import FOOT, MILLIMETER, Units
from bench.core.notes import BenchError, Note

_LONGEST = 60
"""Letters of a number as people write it; a longer one is refused before it is worked out."""
_PART = r"\d+/0*[1-9]\d*"
_NUMBER = rf"(?:\d+\s*-\s*{_PART}|\d+\s+{_PART}|{_PART}|\d+\.\d*|\.\d+|\d+)"
_INCHES = re.compile(
    rf"""(?P<sign>-)?\s*(?:(?P<feet>{_NUMBER})\s*(?:'|′|ft\.?|feet|foot)\s*-?)?\s*
    (?:(?P<inches>{_NUMBER})\s*(?P<mark>"|″|''|in\.?|inch|inches)?)?""",
    re.VERBOSE | re.IGNORECASE,
)
_METRIC = re.compile(rf"(?P<sign>-)?\s*(?P<value>{_NUMBER})\s*(?P<unit>mm|cm|m)", re.IGNORECASE)
_METRIC_UNITS = {"mm": MILLIMETER, "cm": 10 * MILLIMETER, "m": 1000 * MILLIMETER}


def read_length(written: str, units: Units = Units.INCH) -> Fraction:
    """Inches of `27 3/8"`, `27-3/8`, `4' 2 3/8"`, `27.375`, `635 mm`, `63.5 cm`; a bare number is in `units`.

    Raises BenchError saying what can be written.
    """
    plain = _short(written, "length")
    metric = _METRIC.fullmatch(plain)
    if metric:
        return _signed(metric, _number(metric["value"]) * _METRIC_UNITS[metric["unit"].lower()])
    inches = _INCHES.fullmatch(plain)
    if not inches or not (inches["feet"] or inches["inches"]):
        raise _unreadable("length", written, "Write it like 27 3/8, 4' 2 3/8\", 27.375 or 635 mm.")
    bare = not (inches["feet"] or inches["mark"])
    scale = MILLIMETER if bare and units is Units.METRIC else Fraction(1)
    return _signed(inches, _number(inches["feet"]) * FOOT + _number(inches["inches"]) * scale)


def read_angle(written: str) -> float:
    """Degrees of `22.5`, `22 1/2`, `22½°`, `30 degrees`. Raises BenchError saying what can be written."""
    plain = re.sub(r"\s*(°|deg\.?|degrees?)$", "", _short(written, "angle"), flags=re.IGNORECASE).replace(
        "½", " 1/2"
    )
    if not re.fullmatch(_NUMBER, plain.strip()):
        raise _unreadable("angle", written, "Write degrees like 30, 22.5 or 22 1/2.")
    return float(_number(plain.strip()))


def read_count(written: str) -> int:
    """A whole number of things. Raises BenchError."""
    plain = _short(written, "count")
    if not re.fullmatch(r"\d+", plain):
        raise _unreadable("count", written, "Write a whole number.")
    return int(plain)


def _short(written: str, what: str) -> str:
    """Without the spaces around it. Raises BenchError when nobody writes one so long."""
    plain = written.strip()
    if len(plain) > _LONGEST:
        raise _unreadable(what, f"{plain[:_LONGEST]}...", "Write it shorter.")
    return plain


def _number(written: str | None) -> Fraction:
    if not written:
        return Fraction(0)
    return sum((Fraction(part) for part in re.split(r"\s*-\s*|\s+", written)), Fraction(0))


def _signed(match: re.Match[str], value: Fraction) -> Fraction:
    return -value if match["sign"] else value


def _unreadable(what: str, written: str, remedy: str) -> BenchError:
    message = Note(
        f"{what}_unreadable", "{written} is not a " + what + ".", {"written": repr(written.strip())}
    )
    return BenchError(message, remedy.replace("{", "").replace("}", ""))
