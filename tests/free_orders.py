"""Orders in one breath in people's own words (`tests/dialogue/free_orders.tsv`), and what became of them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from pathlib import Path

from bench.dialogue.state import State
from tests.dialogue.conversation import after

ORDERS = Path(__file__).parent / "dialogue" / "free_orders.tsv"
_NOT_SAID = "-"


class Outcome(Enum):
    """What Bench made of an order: all of it, a part of it, nothing, or something else (read back in any case)."""

    EXACT = "exact"
    PARTIAL = "partial"
    NOTHING = "nothing"
    OTHER = "other"


@dataclass(frozen=True)
class FreeOrder:
    """An order and what it means: inches, degrees or counts by measure; conduit and size as far as they are said."""

    collection: int
    text: str
    bend: str
    values: dict[str, Fraction]
    conduit: str
    size: str

    def outcome(self, state: State) -> Outcome:
        """What the state after the order has of it."""
        place = state.now
        got = {key: Fraction(value) for key, value in place.bend.measures.items()} if place.bend.kind else {}
        if not place.bend.kind:
            return Outcome.NOTHING
        said = all(mine in (_NOT_SAID, theirs) for mine, theirs in self._tools(state))
        if place.bend.kind != self.bend or not said or any(self.values.get(key) != got[key] for key in got):
            return Outcome.OTHER
        return Outcome.EXACT if got == self.values else Outcome.PARTIAL

    def _tools(self, state: State) -> Iterator[tuple[str, str]]:
        yield self.conduit, state.now.tools.conduit
        yield self.size, state.now.tools.size


def free_orders(path: Path = ORDERS) -> Iterator[FreeOrder]:
    """The orders of a table, in their order."""
    for line in path.read_text(encoding="utf-8").splitlines():
        if line.startswith(("#", "collection\t")):
            continue
        collection, text, bend, measures, conduit, size = line.split("\t")
        values = dict(one.split("=") for one in measures.split(";"))
        numbers = {
            key.strip(): sum(map(Fraction, value.split()), Fraction(0)) for key, value in values.items()
        }
        yield FreeOrder(int(collection), text, bend, numbers, conduit, size)


def outcome(order: FreeOrder) -> Outcome:
    """What becomes of an order that is said where the bend is asked for, three-quarter EMT set up."""
    return order.outcome(after("emt", "three quarter", order.text).state)
