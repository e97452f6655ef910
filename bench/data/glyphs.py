"""The block letters of the screen: drawn in advance, one file per size, read when first needed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from bench.data.files import read_text, shared

BLOCKS = " ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█"
"""Quadrant blocks by the bits upper left 1, upper right 2, lower left 4, lower right 8."""

_PLAIN = str.maketrans(
    dict(zip(BLOCKS, " ''\".###.###m###", strict=True))
    | dict(zip("━─│┃┊▼▲◀▶√—–…“”▏▕╌┏┓┗┛┳┻", '=-||:v^<>*--~""[].++++++', strict=True))
)
"""Latin-1 substitutes: blocks by filled area, signs by appearance."""


@dataclass(frozen=True, slots=True)
class Face:
    """Glyphs of one size: a capital is `rows` terminal rows high; glyphs with descenders take more."""

    rows: int
    glyphs: Mapping[str, tuple[str, ...]]

    def covers(self, text: str) -> bool:
        """Whether every character except spaces has a glyph."""
        return all(character in self.glyphs for character in text if character != " ")


@cache
def sizes() -> tuple[int, ...]:
    """The height of a capital, in rows, for every size, smallest first."""
    return tuple(sorted(int(path.stem) for path in (shared() / "glyphs").glob("[0-9][0-9].txt")))


@cache
def face(rows: int) -> Face:
    """The glyphs of one size. Raises BenchError when the file is missing or damaged."""
    _, *parts = read_text(f"glyphs/{rows:02}.txt").split("\n= ")
    return Face(rows, {part[0]: _even(part[2:].removesuffix("\n").split("\n")) for part in parts})


def plain(text: str) -> str:
    """The same drawing in Latin-1, for a terminal without block characters."""
    return text.translate(_PLAIN).encode("latin-1", "replace").decode("latin-1")


def _even(lines: list[str]) -> tuple[str, ...]:
    width = max(map(len, lines))
    return tuple(line.ljust(width) for line in lines)
