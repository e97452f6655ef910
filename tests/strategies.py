"""Hypothesis strategies: benders, setups and every bend with measures that can usually be made."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import strategies as st

from bench.core.bender import Setup
from bench.data import tables

SETUPS = [tables.setup(kind, size) for kind, size in tables.benders()]


def lengths(least: int, most: int) -> st.SearchStrategy[Fraction]:
    """Lengths in sixteenths from `least` to `most` inches."""
    return st.integers(least * 16, most * 16).map(lambda sixteenths: Fraction(sixteenths, 16))


def setups() -> st.SearchStrategy[Setup]:
    """Any conduit of the table on its typical bender, on a stick long enough for anything."""
    return st.sampled_from(SETUPS).map(
        lambda s: Setup(s.conduit, s.bender, s.trade, s.scale, stick_length=Fraction(400))
    )


def angles(most: float = 60.0) -> st.SearchStrategy[float]:
    """Bend angles in half degrees, taught and not."""
    return st.integers(20, int(most * 2)).map(lambda halves: halves / 2)


BEND_MEASURES: dict[str, dict[str, st.SearchStrategy[Fraction | float]]] = {
    "offset": {"distance": lengths(120, 180), "rise": lengths(1, 20), "angle": angles()},
    "saddle3": {"to_center": lengths(120, 180), "height": lengths(1, 10), "angle": angles(40.0)},
    "saddle4": {
        "to_edge": lengths(120, 180),
        "height": lengths(1, 12),
        "width": lengths(1, 24),
        "angle": angles(),
    },
    "stub": {"height": lengths(20, 100)},
    "back-to-back": {"distance": lengths(30, 120)},
    "kick": {"distance": lengths(100, 160), "rise": lengths(3, 20), "angle": angles()},
    "rolling": {
        "distance": lengths(120, 180),
        "rise": lengths(1, 14),
        "roll": lengths(1, 14),
        "angle": angles(),
    },
}


@st.composite
def jobs(draw: st.DrawFn) -> tuple[str, dict[str, Fraction | float]]:
    """A bend and its measures."""
    kind = draw(st.sampled_from(sorted(BEND_MEASURES)))
    return kind, {key: draw(value) for key, value in BEND_MEASURES[kind].items()}
