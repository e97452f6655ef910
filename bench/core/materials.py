"""What to fetch for a run: sticks, couplings, connectors, straps, and what is left over."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Protocol

from bench.core.notes import Note, Value
from bench.core.packing import Packing, pack


@dataclass(frozen=True, slots=True)
class Item:
    """So many of one thing. `length` is inches for sticks, None for fittings."""

    what: str
    size: str
    conduit: str
    count: int
    length: Fraction | None = None

    @property
    def note(self) -> Note:
        """The line of the list, for voice, screen and paper."""
        values: dict[str, Value] = {"count": self.count, "size": self.size, "conduit": self.conduit}
        if self.length is not None:
            return Note(
                "material", "{count} of {size} {conduit}, {length} long", {**values, "length": self.length}
            )
        what = self.what if self.count == 1 else f"{self.what}s"
        return Note("material", "{count} {size} {conduit} {what}", {**values, "what": what})


class Fastened(Protocol):
    """As much of a section between two boxes as its material list needs."""

    @property
    def lengths(self) -> Sequence[tuple[str, str, Fraction]]:
        """Conduit, trade size and length before cutting, inches, of each stick."""

    @property
    def pieces(self) -> Sequence[Fraction]:
        """Length of each stick as it goes into the run, inches."""

    @property
    def straps(self) -> int:
        """How many supports hold it."""


@dataclass(frozen=True, slots=True)
class Cutting:
    """How the sticks of one conduit and length are cut."""

    conduit: str
    size: str
    packing: Packing

    def note(self, keep: Fraction) -> Note:
        """What it comes to, for voice, screen and paper: pieces, sticks, what is left and worth keeping."""
        values: dict[str, Value] = {
            "pieces": self.packing.pieces,
            "sticks": len(self.packing.sticks),
            "size": self.size,
            "conduit": self.conduit,
        }
        template = "{size} {conduit}: {pieces} pieces from {sticks} sticks"
        kept = self.packing.kept(keep)
        if kept:
            template, values = f"{template}, longest left over {{left}}", values | {"left": kept[0]}
        if not self.packing.best:
            template, values = (
                f"{template}, perhaps {{least}} would do",
                values | {"least": self.packing.least},
            )
        return Note("cutting", template, values)


def cuttings(sections: Iterable[Fastened], kerf: Fraction) -> tuple[Cutting, ...]:
    """The pieces of every conduit and stick length, packed. Pieces of a whole stick take one each."""
    pieces: dict[tuple[str, str, Fraction], list[Fraction]] = {}
    for section in sections:
        for (conduit, size, length), used in zip(section.lengths, section.pieces, strict=True):
            pieces.setdefault((conduit, size, length), []).append(used)
    return tuple(
        Cutting(conduit, size, pack(lengths, length, kerf))
        for (conduit, size, length), lengths in pieces.items()
    )


def materials(sections: Iterable[Fastened], cut: Iterable[Cutting]) -> tuple[Item, ...]:
    """Everything the sections take: the sticks they are cut from, a coupling at each joint, a connector at each box,
    a strap at each support.

    A change of conduit or size within a section counts its fittings with the stick nearer the start.
    """
    fittings: Counter[tuple[str, str, str]] = Counter()
    for section in sections:
        lengths = list(section.lengths)
        if not lengths:
            continue
        for conduit, size, _ in lengths[:-1]:
            fittings["coupling", size, conduit] += 1
        for conduit, size, _ in (lengths[0], lengths[-1]):
            fittings["connector", size, conduit] += 1
        fittings["strap", lengths[0][1], lengths[0][0]] += section.straps
    pipes = [Item("stick", one.size, one.conduit, len(one.packing.sticks), one.packing.length) for one in cut]
    return (*pipes, *(Item(*what, count) for what, count in sorted(fittings.items()) if count))
