"""Back to back: a second 90 whose back is a given distance from the back of the first."""

from __future__ import annotations

from fractions import Fraction

from bench.core.bender import Setup
from bench.core.bends.base import Bend, Bending, Given, length
from bench.core.bends.stub import LEG
from bench.core.finished import back_of_bend, dogleg
from bench.core.notes import BenchError, Note
from bench.core.path import Path
from bench.core.plan import Finished, Hook, Method, Reference


class BackToBack(Bend):
    """`distance` between the backs of two 90s.

    With nothing else the tape hooks on the back of the first 90, already bent. With `stub`, the height of the
    first, both marks are given from the end of the straight conduit.
    """

    key = "back-to-back"
    measures = (length("distance", "4", "1200"),)
    extras = (length("stub", "1", "240", optional=True), LEG)
    hooks = (Hook.AWAY,)

    def check(self, given: Given, setup: Setup) -> None:
        """Two 90s cannot be closer than their own arcs."""
        least = 2 * setup.bender.radius + setup.od
        if float(given["distance"]) < least:
            raise BenchError(
                Note(
                    "backs_too_close",
                    "Two nineties {distance} apart would overlap on this bender.",
                    {"distance": Fraction(given["distance"])},
                )
            )

    def book(self, given: Given, setup: Setup, hook: Hook) -> tuple[Bending, ...]:
        """The distance, star on the mark, hook away from the first bend; the first 90's gain comes off when
        the tape runs along straight conduit."""
        distance = Fraction(given["distance"])
        if "stub" not in given:
            return (Bending(distance, Reference.STAR, hook, 90.0, 0.0, 1),)
        stub = Fraction(given["stub"])
        return (
            Bending(stub - setup.bender.take_up, Reference.ARROW, Hook.TAPE_END, 90.0, 0.0, 1),
            Bending(stub + distance - setup.bender.gain, Reference.STAR, hook, 90.0, 0.0, 2),
        )

    def true(self, given: Given, setup: Setup, hook: Hook) -> tuple[Bending, ...]:
        """The same: take-up and gain are this bender's own measures."""
        return self.book(given, setup, hook)

    def finished(self, path: Path, given: Given, setup: Setup) -> Finished:
        """Back to back; with a stub its height too."""
        if "stub" not in given:
            return Finished(end_to_end=back_of_bend(path, setup.od), dogleg=dogleg(path))
        between = path.straights()[1] + 2 * path.radius + setup.od
        return Finished(rise=stub_height(path, setup.od), end_to_end=between, dogleg=dogleg(path))

    def shrink(self, path: Path, given: Given, setup: Setup, method: Method) -> float:
        """A 90 has no shrink."""
        return 0.0

    def gain(self, path: Path, given: Given, setup: Setup) -> float:
        """The bender's gain for each 90 laid out."""
        return len(path.arcs) * float(setup.bender.gain)

    def cut(self, given: Given, setup: Setup, shrink: float) -> Fraction | None:
        """Legs and span to the backs, less two gains."""
        if not {"stub", "leg"} <= given.keys():
            return None
        return sum((Fraction(given[key]) for key in ("stub", "distance", "leg")), -2 * setup.bender.gain)


def stub_height(path: Path, od: float) -> float:
    """From the tape end to the back of a first 90, inches."""
    return path.arcs[0].start + path.radius + od / 2
