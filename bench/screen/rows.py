"""Rows of the screen: spans of text with color roles. Plain values that are painted elsewhere."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence

from bench.screen.themes import Role

Span = tuple[str, Role]
Row = tuple[Span, ...]

BLANK: Row = ()


def length(row: Row) -> int:
    """The width of a row in cells."""
    return sum(len(text) for text, _ in row)


def text_of(row: Row) -> str:
    """The text of a row, without its roles."""
    return "".join(text for text, _ in row)


def centered(row: Row, width: int) -> Row:
    """A row centered in `width` cells."""
    return ((" " * max(0, (width - length(row)) // 2), Role.PAGE), *row)


def spread(left: Row, right: Row, width: int) -> Row:
    """One row at the left edge and one at the right. The left one is cut where they would overlap."""
    room = width - length(right)
    kept = cut(left, room - (1 if right else 0))
    return (*kept, (" " * max(0, room - length(kept)), Role.PAGE), *right)


def cut(row: Row, width: int) -> Row:
    """A row cut to at most `width` cells. An ellipsis marks the cut."""
    if length(row) <= width:
        return row
    kept: list[Span] = []
    room = max(0, width - 1)
    for text, role in row:
        kept.append((text[:room], role))
        room -= len(text[:room])
    return (*kept, ("…" if width > 0 else "", row[-1][1]))


def drawn(lines: Iterable[str], role: Role, width: int) -> list[Row]:
    """A drawing in one role, centered in `width` cells."""
    return [centered(((line, role),), width) for line in lines]


def wrapped(text: str, width: int, most: int) -> list[str]:
    """`text` wrapped to at most `most` lines. An ellipsis marks a cut."""
    return textwrap.wrap(text, max(8, width), max_lines=most, placeholder=" …") if text and most > 0 else []


def listed(phrases: Sequence[str], width: int, most: int) -> list[str]:
    """Phrases in at most `most` lines, never broken. An ellipsis at the end marks omitted phrases."""
    lines: list[str] = []
    if most < 1:
        return lines
    for at, phrase in enumerate(phrases):
        more = "" if at == len(phrases) - 1 else " …"
        longer = f"{lines[-1]} · {phrase}" if lines else phrase
        last = len(lines) == most
        if lines and len(longer) + (len(more) if last else 0) <= width:
            lines[-1] = longer
        elif len(lines) < most:
            lines.append(phrase[:width])
        else:
            lines[-1] = f"{lines[-1][: width - 2]} …"
            break
    return lines
