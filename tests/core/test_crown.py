"""The crown of a bent conduit against a fine search along it."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bench.core.finished import crown
from bench.core.path import Arc, build_path
from bench.core.vectors import dot
from tests.examples import examples

BENDS = st.lists(
    st.tuples(st.floats(5, 60), st.sampled_from([0.0, 180.0]), st.floats(-8, 8), st.floats(0, 10)),
    min_size=1,
    max_size=4,
)


@settings(max_examples=examples(40), deadline=None)
@given(BENDS)
def test_nothing_is_farther_to_the_side_of_the_first_bend(
    bends: list[tuple[float, float, float, float]],
) -> None:
    at, arcs = 5.0, []
    for degrees, roll, lean, room in bends:
        arcs.append(Arc(at, degrees, roll + lean))
        at = arcs[-1].end(5.0) + room
    path = build_path(arcs, 5.0, at + 20)
    place, point = crown(path)
    side, low, high = path.segments[1].towards, path.segments[1].start, path.segments[-2].end
    along = [path.point(low + (high - low) * step / 400) for step in range(401)]
    assert point == pytest.approx(path.point(place))
    assert dot(point, side) >= max(dot(one, side) for one in along) - 1e-9
