"""The angle to pull to, shown on the scale of the shoe's marks."""

from __future__ import annotations

from bench.core.lengths import angle_text
from bench.data.screen_words import screen_words
from bench.screen.rows import Row
from bench.screen.themes import Role

ROWS = 3


def scale(angle: float, shoe_angles: tuple[float, ...], width: int) -> list[Row]:
    """The shoe's marks in degrees, the scale filled up to `angle` degrees, and a pointer below it."""
    marks = sorted(set(shoe_angles))
    most = max((*marks, angle, 1.0))
    inner = width - 6

    def column(degrees: float) -> int:
        return 2 + round(max(0.0, degrees) / most * inner)

    here = column(angle)
    line = [("━" if at <= here else "─", Role.VERB if at <= here else Role.QUIET) for at in range(inner + 3)]
    for mark in marks:
        line[column(mark)] = ("┃", Role.MARK)
    line[here] = ("█", Role.NUMBER)
    return [
        _degrees(marks, angle, [column(mark) for mark in marks], width),
        tuple(line),
        _pointer(angle, here, width),
    ]


def _degrees(marks: list[float], angle: float, columns: list[int], width: int) -> Row:
    row: list[tuple[str, Role]] = []
    used = 0
    for mark, column in zip(marks, columns, strict=True):
        here = abs(mark - angle) < 0.05
        text = f" {angle_text(mark)} " if here else angle_text(mark)
        start = max(used + (1 if used else 0), min(column - len(text) // 2, width - len(text)))
        if start + len(text) > width:
            break
        row += [(" " * (start - used), Role.PAGE), (text, Role.CURRENT if here else Role.TEXT)]
        used = start + len(text)
    return tuple(row)


def _pointer(angle: float, column: int, width: int) -> Row:
    words = screen_words().pull_to.format(angle=angle_text(angle))
    text = f"▲ {words}"
    if column + len(text) <= width:
        return ((" " * column, Role.PAGE), (text, Role.NUMBER))
    text = f"{words} ▲"
    return ((" " * max(0, column + 1 - len(text)), Role.PAGE), (text, Role.NUMBER))
