"""Draws the pipe with its marks and the bender on it: its point, its mark and its hook direction."""

from __future__ import annotations

from dataclasses import dataclass

from bench.core.plan import Hook
from bench.data.screen_words import screen_words
from bench.dialogue.effects import Stick
from bench.screen.rows import Row
from bench.screen.themes import Role

ROWS = 3
"""Rows: the numbers of the marks, the pipe, the bender below it."""

_BEYOND = 1.25
"""Inches of pipe drawn past the last mark. A longer pipe is drawn broken off."""


@dataclass(frozen=True, slots=True)
class Ruler:
    """Maps inches along the pipe to columns of the drawing."""

    inches: float
    columns: int

    def column(self, at: float) -> int:
        """The column of a position on the pipe, limited to the drawing."""
        share = max(0.0, min(1.0, at / self.inches)) if self.inches > 0 else 0.0
        return round(share * (self.columns - 1))


def ruler(stick: Stick, width: int) -> Ruler:
    """The scale that shows only the part of the stick with marks, so that marks near one end are separated."""
    last = max((float(mark.at) for mark in stick.marks), default=0.0)
    shown = last * _BEYOND if last else stick.length
    return Ruler(max(last, min(stick.length, shown)) or 1.0, width)


def picture(stick: Stick, width: int, height: int = ROWS) -> list[Row]:
    """The pipe in `height` rows of at most `width` cells. Rows beyond three make it thicker."""
    scale = ruler(stick, width - 2)
    columns = _apart([scale.column(float(mark.at)) for mark in stick.marks], width - 2)
    pipe = _pipe(stick, columns, scale, width)
    return [_numbers(stick, columns, width), *[pipe] * max(1, height - 2), _bender(stick, columns, width)]


def _apart(columns: list[int], width: int) -> list[int]:
    """Move marks that would share a column to the next one, so that none hides another."""
    placed: list[int] = []
    for column in columns:
        placed.append(min(width - 1, max(column, placed[-1] + 2 if placed else 0)))
    return placed


def _pipe(stick: Stick, columns: list[int], scale: Ruler, width: int) -> Row:
    broken = scale.inches < stick.length
    cells: list[tuple[str, Role]] = [("█", Role.PIPE)] * scale.columns
    for index, column in enumerate(columns):
        cells[column] = ("┃", Role.CURRENT if index == stick.current else Role.MARK)
    end = "╌╌" if broken else "▌ "
    return (("▐", Role.PIPE), *cells[: width - 3], (end, Role.PIPE))


def _numbers(stick: Stick, columns: list[int], width: int) -> Row:
    """A number above each mark: the current one highlighted, bent ones with a check mark."""
    labels = []
    for index, column in enumerate(columns):
        tick = "√" if index in stick.bent else ""
        current = index == stick.current
        label = f" {index + 1}{tick} " if current else f"{index + 1}{tick}"
        labels.append((column + 1, label, Role.CURRENT if current else Role.MARK))
    return _at(labels, width)


def _bender(stick: Stick, columns: list[int], width: int) -> Row:
    """Below the current mark: the bender's point, with an arrow in the direction the hook faces."""
    end = screen_words().tape_end
    if stick.current is None or stick.current >= len(columns):
        return ((end, Role.QUIET),)
    start, text = _seat(stick, columns[stick.current] + 1, width)
    kept = end if len(end) + 2 <= start else ""
    return ((kept, Role.QUIET), (" " * (start - len(kept)), Role.PAGE), (text, Role.MARK))


def _seat(stick: Stick, column: int, width: int) -> tuple[int, str]:
    """The start column of the bender's words, such that its point is below the mark, and the words."""
    if stick.reference is None:
        return column, "▲"
    point = stick.reference.value.upper()
    hook = screen_words().hook
    if stick.hook is Hook.TAPE_END:
        text, before = f"{hook} ◀━━━▲ {point}", len(hook) + 5
    elif stick.hook is Hook.AWAY:
        text, before = f"{point} ▲━━━▶ {hook}", len(point) + 1
    else:
        text, before = f"▲ {point}, {screen_words().hook_either}", 0
    start = column - before
    if 0 <= start <= width - len(text):
        return start, text
    return _turned(column, point, stick.hook, width)


def _turned(column: int, point: str, hook: Hook | None, width: int) -> tuple[int, str]:
    """The same near an edge, with all words on one side of the point. The arrow still shows the direction."""
    word = screen_words().hook
    sides = {Hook.TAPE_END: f"◀━━ {word}", Hook.AWAY: f"{word} ━━▶"}
    side = sides.get(hook or Hook.EITHER, screen_words().hook_either)
    left, right = f"{point}  {side} ▲", f"▲ {point}  {side}"
    if column + len(right) <= width:
        return column, right
    return max(0, column + 1 - len(left)), left


def _at(labels: list[tuple[int, str, Role]], width: int) -> Row:
    """Texts centered on their columns, left to right, each kept clear of the previous one."""
    row: list[tuple[str, Role]] = []
    used = 0
    for column, text, role in sorted(labels, key=lambda label: label[0]):
        start = max(used, min(column - len(text) // 2, width - len(text)))
        if start + len(text) > width:
            break
        row += [(" " * (start - used), Role.PAGE), (text, role)]
        used = start + len(text)
    return tuple(row)
