"""Words and numbers in block letters, as large as fits. Fractions are stacked, as on a tape."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from bench.data.glyphs import face, sizes

Drawing = tuple[str, ...]
"""Rows of block characters, all of the same width."""

VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4"}
_PIECE = re.compile(r"(\d+)/(\d+)|(?<=\d )(mm|cm|m)\b|(.)", re.DOTALL)
_MIXED = re.compile(r"\d \d+⁄")
"""A whole number before an inline fraction. The gap is wider than between words, or 1 1/2 would read as 11/2."""
_WORD = re.compile(r"[A-Za-z]+")
_INLINE = "⁄"
"""A slash that is not part of a stacked fraction."""
_UNITS = frozenset({"mm", "cm", "m"})
_OVERHANG = 1.25
"""How much taller than the figures beside it a stacked fraction may be, because its own figures need the height."""
_LEAST_FRACTION = 3
_BAR_IN_ONE_ROW = 5
"""Up to this figure size a line serves as the bar; above it, a bar with space above and below."""


@dataclass(frozen=True, slots=True)
class Placed:
    """A drawing and its first row, counted down from the top of the capitals (negative: above)."""

    rows: Drawing
    top: int


def capitals(text: str) -> str:
    """The text in capitals, which are legible from further away, with units unchanged."""
    return _WORD.sub(lambda word: word[0] if word[0] in _UNITS else word[0].upper(), text)


def has_fraction(text: str) -> bool:
    """Whether the text contains a stacked fraction."""
    return any(piece[1] for piece in _PIECE.finditer(_spelled(text)))


def inline(text: str) -> str:
    """The text with inline fractions, for letters too small to stack them."""
    return _spelled(text).replace("/", _INLINE)


def fraction_rows(rows: int) -> int:
    """Height in rows of the figures of a stacked fraction beside whole figures `rows` high."""
    fits = [size for size in sizes() if 2 * size + _bar_rows(size) <= max(rows + 2, rows * _OVERHANG)]
    return max(fits, default=_LEAST_FRACTION)


@lru_cache(maxsize=256)
def lettering(text: str, rows: int) -> Drawing:
    """`text` in block letters with capitals `rows` high. Empty rows are omitted."""
    placed = [part for part in _placed(_spelled(text), rows) if part.rows]
    top = min((part.top for part in placed), default=0)
    bottom = max((part.top + len(part.rows) for part in placed), default=0)
    lines = [""] * (bottom - top)
    for part in placed:
        width = len(part.rows[0])
        for row in range(len(lines)):
            inside = row + top - part.top
            lines[row] += part.rows[inside] if 0 <= inside < len(part.rows) else " " * width
    return tuple(lines)


@lru_cache(maxsize=8192)
def extent(text: str, rows: int) -> tuple[int, int]:
    """Columns and rows of `lettering(text, rows)`."""
    drawing = lettering(text, rows)
    return len(drawing[0]) if drawing else 0, len(drawing)


@lru_cache(maxsize=4096)
def fit(text: str, width: int, height: int, least: int = 1, most: int = 99) -> int:
    """The largest size between `least` and `most` at which `text` fits `width` by `height` cells, 0 if none."""
    for rows in reversed(sizes()):
        if least <= rows <= min(most, height) and face(rows).covers(_glyph(_spelled(text))):
            columns, used = extent(text, rows)
            if used <= height and columns <= width:
                return rows
    return 0


def _glyph(character: str) -> str:
    return character.replace(_INLINE, "/")


def _spelled(text: str) -> str:
    for sign, spelled in VULGAR.items():
        text = text.replace(sign, f" {spelled}")
    return " ".join(text.replace("’", "'").replace("”", '"').replace("−", "-").split())


def _placed(text: str, rows: int) -> Iterator[Placed]:
    """The parts of the text, each with the gap after it."""
    narrow, wide = _gaps(rows)
    pieces = list(_PIECE.finditer(text))
    for index, piece in enumerate(pieces):
        following = pieces[index + 1] if index + 1 < len(pieces) else None
        if piece[4] == " ":
            close = following is not None and (following[1] or following[3])
            mixed = _MIXED.match(text, piece.start() - 1) if piece.start() else None
            yield Placed((" " * (2 * narrow if close else round(1.6 * wide) if mixed else wide),) * rows, 0)
            continue
        yield _piece(piece, rows)
        if following is not None and following[4] != " ":
            yield Placed((" " * narrow,) * rows, 0)


def _piece(piece: re.Match[str], rows: int) -> Placed:
    """Place one part: a stacked fraction in the middle, a small unit at the bottom, all else from the top."""
    over, under, unit, character = piece.groups()
    if over:
        drawing = _fraction(over, under, rows)
        return Placed(drawing, (rows - len(drawing)) // 2)
    if unit:
        size = fraction_rows(rows)
        letters = [face(size).glyphs[letter] for letter in unit]
        lines = tuple((" " * _gaps(size)[0]).join(parts) for parts in zip(*letters, strict=True))
        return Placed(lines, rows - size)
    return Placed(face(rows).glyphs.get(_glyph(character), ()), 0)


def _gaps(rows: int) -> tuple[int, int]:
    """Columns between letters and between words."""
    return max(1, round(rows * 0.15)), max(4, round(rows * 0.7))


def _fraction(over: str, under: str, rows: int) -> Drawing:
    size = fraction_rows(rows)
    top, bottom = lettering(over, size), lettering(under, size)
    width = max(len(top[0]), len(bottom[0])) + (2 if size > _LEAST_FRACTION else 0)
    return tuple(line.center(width) for line in (*top, *_bar(width, size), *bottom))


def _bar_rows(size: int) -> int:
    return 1 if size <= _BAR_IN_ONE_ROW else max(2, round(size * 0.3))


def _bar(width: int, size: int) -> Drawing:
    """The line between the figures, with at least half a row of space on both sides."""
    rows = _bar_rows(size)
    if rows == 1:
        return ("━" * width,)
    air = (rows - 2 + 1) // 3
    solid = rows - 2 - 2 * air
    lines = [" " * width] * air + ["▄" * width] + ["█" * width] * solid + ["▀" * width] + [" " * width] * air
    return tuple(lines)
