"""Clearance against shapely on the same shapes: the centerline finely sampled, less half a diameter."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Point, box
from shapely.geometry.base import BaseGeometry

from bench.core.bender import Setup
from bench.core.bends import work_out
from bench.core.clearance import Box, Round, Solid, clearance
from bench.core.given import Given, Number
from bench.core.path import Arc, build_path
from bench.core.simulate import simulate
from tests.examples import examples
from tests.known import known
from tests.strategies import SETUPS

UP = (0.0, 1.0, 0.0)


@settings(max_examples=examples(40), deadline=None)
@given(st.sampled_from(SETUPS), st.floats(5, 45), st.floats(0.5, 12), st.floats(0.2, 6), st.floats(0, 60))
def test_against_shapely(setup: Setup, angle: float, width: float, height: float, center: float) -> None:
    """Where the two are apart; shapely has no depth of overlap."""
    radius, od = setup.bender.radius, setup.od
    arcs = (Arc(20, angle, 0), Arc(20 + 2 * setup.bender.arc(angle) + 6, angle, 180))
    path = build_path(arcs, radius, 90)
    line = LineString([(x, y + od / 2) for _, (x, y, _) in path.sampled(0.2)])
    solids: dict[Solid, BaseGeometry] = {
        Box(center - width / 2, center + width / 2, height): box(
            center - width / 2, -50, center + width / 2, height
        ),
        Round(center, height, 0.3): Point(center, height / 2 + 0.3).buffer(height / 2, quad_segs=256),
    }
    for solid, shape in solids.items():
        apart = line.distance(shape)
        ours = clearance(path, (solid,), od, UP)
        if apart > 1e-3:
            assert ours == pytest.approx(apart - od / 2, abs=2e-3)
        else:
            assert ours < -od / 2 + 2e-3


def test_a_row_is_as_near_as_its_nearest() -> None:
    path = build_path((Arc(20, 30, 0), Arc(32, 30, 180)), 4.0, 90)
    row = (Box(40, 41, 1), Round(50, 3), Box(60, 61, 2))
    assert clearance(path, row, 0.7, UP) == min(clearance(path, (one,), 0.7, UP) for one in row)


def test_wide_box_fouls_the_shoulders_and_four_points_clear_it() -> None:
    measures = Given({"to_center": F(40), "height": F(3), "width": F(6), "angle": 22.5})
    plan = work_out("saddle3", measures, SETUPS[0])
    assert known(plan.chosen.finished.clearance) < -0.5
    assert [note.code for note in plan.warnings] == ["fouls"]
    advice = {note.code: note for note in plan.advice}
    assert "four_points_clear" in advice
    higher = F(advice["higher_clears"].values["height"])
    assert known(work_out("saddle3", {**measures, "height": higher}, SETUPS[0]).chosen.finished.rise) > 3.5
    four = Given({"to_edge": F(37), "height": F(3), "width": F(6), "gap": F(1, 2)})
    assert known(work_out("saddle4", four, SETUPS[0]).chosen.finished.clearance) > -1 / 16


@pytest.mark.parametrize(
    ("height", "width", "angle"),
    [(F(3), F(6), 22.5), (F(135, 16), F(73, 16), 15.0), (F(15, 2), F(27, 4), 15.0)],
)
def test_the_height_that_clears_is_the_lowest_in_eighths(height: F, width: F, angle: float) -> None:
    """As found by trying every eighth."""
    setup = replace(SETUPS[0], stick_length=F(240))
    measures: dict[str, Number] = {"to_center": F(80), "height": height, "width": width, "angle": angle}
    advice = {note.code: note for note in work_out("saddle3", measures, setup).advice}
    box = (Box(80 - float(width) / 2, 80 + float(width) / 2, float(height)),)

    def gap(higher: F) -> float:
        marks = work_out("saddle3", {**measures, "height": higher, "width": F(0)}, setup).marks
        return clearance(simulate(marks, setup.bender, 240.0), box, setup.od, (0.0, -1.0, 0.0))

    clear = next(step for step in range(1, 33) if gap(height + F(step, 8)) >= 0)
    assert advice["higher_clears"].values["height"] == height + F(clear, 8)


def test_a_pipe_is_easier_to_clear_than_a_box_of_its_size() -> None:
    measures = Given({"to_center": F(40), "height": F(3), "width": F(3), "angle": 22.5})
    square = known(work_out("saddle3", measures, SETUPS[0]).chosen.finished.clearance)
    pipe = known(work_out("saddle3", {**measures, "round": 1}, SETUPS[0]).chosen.finished.clearance)
    assert square < -0.2
    assert pipe > -1 / 16
