"""What fittings take of a run: how far from a box the conduit ends, how far apart two lengths are in a coupling."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from bench.core.conduit import Conduit
from bench.core.notes import BenchError, Note


@dataclass(frozen=True, slots=True)
class TakeOff:
    """Inches. `connector`: from a box's face to the conduit's end, negative where it goes into the box. `coupling`:
    between the ends of two lengths joined."""

    connector: Fraction
    coupling: Fraction


@dataclass(frozen=True)
class Fittings:
    """The usual take-offs by (conduit, trade size); `shared/fittings.toml` says what they are worth."""

    take_offs: Mapping[tuple[str, str], TakeOff]

    def of(self, conduit: Conduit) -> TakeOff:
        """The usual ones of a conduit. Raises BenchError when the table has none."""
        found = self.take_offs.get((conduit.kind, conduit.size))
        if found is None:
            values = {"size": conduit.size, "conduit": conduit.kind}
            raise BenchError(
                Note("take_off_unknown", "No take-off is known for fittings of {size} {conduit}.", values),
                Note("take_off_give", "Measure it: from the box to the end of the conduit in its connector."),
            )
        return found
