"""Back to back: a second 90 whose back is a given distance from the back of the first."""

from __future__ import annotations

from fractions import Fraction

from bench.core.bender import Setup
from bench.core.bends.base import Bend, Bending, Hold, Way, length, longer, rest_of_ninety
from bench.core.bends.stub import LEG
from bench.core.finished import back_of_bend, dogleg
from bench.core.gauges import FIRST_SQUARE, SQUARE, Gauge, each
from bench.core.given import Given
from bench.core.notes import BenchError, Note
from bench.core.path import Path
from bench.core.plan import Finished, Hook, Method, Reference


def _backs(path: Path, given: Given, setup: Setup) -> float:
    """From the back of the first 90, or from where the tape hooks on one, to the back of the last."""
    if len(path.arcs) < 2:
        return back_of_bend(path, setup.od)
    return path.straights()[1] + 2 * path.radius + setup.od


class BackToBack(Bend):
    """`distance` between the backs of two 90s.

    With nothing else the tape hooks on the back of the first 90, already bent. With `stub`, the height of the
    first, both marks are given from the end of the straight conduit.
    """

    key = "back-to-back"
    name = "back-to-back bend"
    measures = (length("distance", "4", "1200"),)
    extras = (length("stub", "1", "240", optional=True), LEG)
    ways = (
        (Hold(Reference.ARROW, Hook.TAPE_END, 1), Hold(Reference.STAR, Hook.AWAY, 2)),
        (Hold(Reference.ARROW, Hook.TAPE_END, 1), Hold(Reference.ARROW, Hook.TAPE_END, 2)),
    )
    book_ways = 2
    gauges = (
        SQUARE,
        Gauge("distance", "Back to back: {planned}.", _backs, each, asked=("distance",)),
    )

    def check(self, given: Given, setup: Setup) -> None:
        """Two 90s cannot be closer than their own arcs."""
        least = 2 * setup.bender.radius + setup.od
        if float(given.length("distance")) < least:
            raise BenchError(
                Note(
                    "backs_too_close",
                    "Two nineties {distance} apart would overlap on this bender.",
                    {"distance": given.length("distance")},
                )
            )

    def book(self, given: Given, setup: Setup, way: Way) -> tuple[Bending, ...]:
        """The distance, star on the mark, hook away from the first bend (hook toward it: the distance less
        take-up, arrow on the mark); the first 90's gain comes off when the tape runs along straight conduit."""
        first, second = way
        back = given.length("distance") - (setup.bender.take_up if second.hook is Hook.TAPE_END else 0)
        if "stub" not in given:
            return (Bending(back, *second[:2], 90.0, 0.0, 1),)
        stub = given.length("stub")
        return (
            Bending(stub - setup.bender.take_up, *first[:2], 90.0, 0.0, 1),
            Bending(stub + back - setup.bender.gain, *second[:2], 90.0, 0.0, 2),
        )

    def true(self, given: Given, setup: Setup, way: Way) -> tuple[Bending, ...]:
        """The same: take-up and gain are this bender's own measures."""
        return self.book(given, setup, way)

    def finished(self, path: Path, given: Given, setup: Setup) -> Finished:
        """Back to back; with a stub its height too."""
        rise = stub_height(path, setup.od) if "stub" in given else None
        return Finished(rise=rise, end_to_end=_backs(path, given, setup), dogleg=dogleg(path))

    def gauges_for(self, given: Given) -> tuple[Gauge, ...]:
        """With a stub both 90s are new."""
        return (FIRST_SQUARE, *self.gauges) if "stub" in given else self.gauges

    def taken(self, given: Given, setup: Setup) -> float:
        """Without a stub the tape hooks on a 90."""
        return 0.0 if "stub" in given else rest_of_ninety(setup)

    def start_ahead(self, given: Given, out: float) -> float:
        """Without a stub the tape hooks on the back of the first 90, which lies farther out."""
        return 0.0 if "stub" in given else out

    def neighbor(self, given: Given, setup: Setup, out: float, ahead: float = 0.0) -> Given:
        """Both stubs are longer by the distance, the back to back by twice that."""
        if "stub" not in given:
            return longer(longer(given, "distance", out + ahead), "leg", out)
        legs = longer(longer(given, "stub", out + ahead), "leg", out)
        return longer(legs, "distance", 2 * out)

    def shrink(self, path: Path, given: Given, setup: Setup, method: Method) -> float:
        """A 90 has no shrink."""
        return 0.0

    def gain(self, path: Path, given: Given, setup: Setup) -> float:
        """The bender's gain for each 90 laid out."""
        return len(path.arcs) * float(setup.bender.gain)

    def cut(self, given: Given, setup: Setup, shrink: float, path: Path) -> Fraction | None:
        """Legs and span to the backs, less two gains."""
        if not {"stub", "leg"} <= given.keys():
            return None
        return sum((given.length(key) for key in ("stub", "distance", "leg")), -2 * setup.bender.gain)


def stub_height(path: Path, od: float) -> float:
    """From the tape end to the back of a first 90, inches."""
    return path.arcs[0].start + path.radius + od / 2
