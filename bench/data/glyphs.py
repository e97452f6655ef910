"""The block letters of the screen: drawn beforehand, one file a size, read when first wanted."""

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
"""Blocks by how much of them is inked and where; signs by what they look like."""


@dataclass(frozen=True, slots=True)
class Face:
    """Glyphs of one size: `rows` terminal rows to a capital, more where a glyph hangs below the line."""

    rows: int
    glyphs: Mapping[str, tuple[str, ...]]

    def covers(self, text: str) -> bool:
        """Whether every character but spaces has a glyph."""
        return all(character in self.glyphs for character in text if character != " ")


@cache
def sizes() -> tuple[int, ...]:
    """Rows to a capital of every size there is, smallest first."""
    return tuple(sorted(int(path.stem) for path in (shared() / "glyphs").glob("[0-9][0-9].txt")))


@cache
def face(rows: int) -> Face:
    """The glyphs of one size. Raises BenchError when the file is missing or damaged."""
    _, *parts = read_text(f"glyphs/{rows:02}.txt").split("\n= ")
    return Face(rows, {part[0]: _even(part[2:].removesuffix("\n").split("\n")) for part in parts})


def plain(text: str) -> str:
    """The same drawing in Latin-1 at most, for a terminal that has no block characters."""
    return text.translate(_PLAIN).encode("latin-1", "replace").decode("latin-1")


def _even(lines: list[str]) -> tuple[str, ...]:
    width = max(map(len, lines))
    return tuple(line.ljust(width) for line in lines)
