"""Figures against the tables of legibility standards."""

from __future__ import annotations

import pytest

from bench.screen.legibility import PANELS, STANDARD, arc_minutes, number_rows, readings


@pytest.mark.parametrize(
    ("height", "distance", "minutes"),
    [
        (4.65, 1.0, 16.0),  # ISO 9241-303, least: 16 minutes is 4.65 mm at a meter
        (9.3, 2.0, 16.0),
        (17.5, 3.0, 20.0),
        (32.0, 5.0, 22.0),
        (6.0, 1.0, 20.6),  # NUREG-0700 rev. 3, 11.4.1.5-1: preferred is 0.006 of the distance
        (25.0, 5.0, 17.2),  # the rule of 1/200 of the distance is 17.2 minutes
    ],
)
def test_minutes_of_arc_are_those_of_the_tables(height: float, distance: float, minutes: float) -> None:
    assert arc_minutes(height, distance) == pytest.approx(minutes, abs=0.08)


def test_panels_have_the_heights_of_their_kind() -> None:
    """A 24 inch 16 to 9 monitor is 299 mm high (plane geometry: 24 / sqrt(1 + (16/9)^2) inches)."""
    heights = {panel.name: panel.height for panel in PANELS}
    assert heights["24 inch monitor"] == pytest.approx(298.9, abs=0.1)


def test_the_number_can_be_read_at_five_metres_from_a_monitor() -> None:
    """Even the figures of the fraction, on an 80 by 24 terminal that fills it: twice the least asked."""
    assert STANDARD == "ISO 9241-303"
    seen = {(r.panel.name, r.distance): r for r in readings(80, 24, '27 3/8"')}
    assert seen["24 inch monitor", 5.0].whole > 80
    assert seen["24 inch monitor", 5.0].fraction > 32
    assert seen["14 inch laptop", 5.0].enough
    assert all(r.enough for r in seen.values())


def test_a_number_without_a_fraction_has_no_smaller_figures() -> None:
    assert all(r.whole == r.fraction for r in readings(80, 24, "30°"))
    assert all(r.whole > r.fraction for r in readings(80, 24, "22½°"))
    assert number_rows(80, 24, "30°") >= 9
