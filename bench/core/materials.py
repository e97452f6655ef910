"""What to fetch for a run: sticks, couplings, connectors, straps, and what is left over."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Protocol

from bench.core.notes import Note, Value


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
    def straps(self) -> int:
        """How many supports hold it."""


def materials(sections: Iterable[Fastened]) -> tuple[Item, ...]:
    """Everything the sections take: a coupling at each joint, a connector at each box, a strap at each
    support.

    A change of conduit or size within a section counts its fittings with the stick nearer the start.
    """
    sticks: Counter[tuple[str, str, Fraction]] = Counter()
    fittings: Counter[tuple[str, str, str]] = Counter()
    for section in sections:
        lengths = list(section.lengths)
        if not lengths:
            continue
        sticks.update(lengths)
        for conduit, size, _ in lengths[:-1]:
            fittings["coupling", size, conduit] += 1
        for conduit, size, _ in (lengths[0], lengths[-1]):
            fittings["connector", size, conduit] += 1
        fittings["strap", lengths[0][1], lengths[0][0]] += section.straps
    pipes = [Item("stick", size, conduit, count, length) for (conduit, size, length), count in sticks.items()]
    return (*pipes, *(Item(*what, count) for what, count in sorted(fittings.items()) if count))
