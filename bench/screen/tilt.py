"""A level on the pipe, showing where the bubble should be or how far the pipe should lean."""

from __future__ import annotations

from bench.core.lengths import angle_text
from bench.data.screen_words import screen_words
from bench.screen.rows import Row, length
from bench.screen.themes import Role

ROWS = 3

_FULL = 15.0
"""Degrees at which the drawn bubble reaches the end of its vial."""


def picture(level: float, width: int) -> list[Row]:
    """A level with its bubble for a lean of `level` degrees (0: level; positive: far end higher)."""
    side = max(12, min(44, width - 30))
    vial = max(7, side // 3 | 1)
    bubble = 3
    travel = (vial - bubble) // 2
    shift = round(max(-1.0, min(1.0, level / _FULL)) * travel)
    at = travel + shift
    glass = f"{' ' * at}███{' ' * (vial - bubble - at)}"
    plate = "━" * ((side - vial) // 2)
    blank = " " * len(plate)
    lean = screen_words().leans.format(angle=angle_text(abs(level)))
    words = screen_words().level if level == 0 else lean
    rows: list[Row] = [
        ((f"┏{plate}┳{'━' * vial}┳{plate}┓", Role.PIPE),),
        (
            (f"┃{blank}┃", Role.PIPE),
            (glass, Role.NUMBER),
            (f"┃{blank}┃", Role.PIPE),
            (f"  {words}", Role.TEXT),
        ),
        ((f"┗{plate}┻{'━' * vial}┻{plate}┛", Role.PIPE),),
    ]
    left = " " * max(0, (width - length(rows[1])) // 2)
    return [((left, Role.PAGE), *row) for row in rows]
