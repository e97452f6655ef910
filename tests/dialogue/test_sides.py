"""Left is left: what a person is told about the side of a further bend, against the shape in space."""

from __future__ import annotations

import numpy as np
import pytest

from bench.core.path import Arc, build_path
from bench.dialogue.measures import SIDES

RADIUS = 4.0


@pytest.mark.parametrize(
    ("side", "up", "right"), [("the_same", 1, 0), ("to_right", 0, 1), ("opposite", -1, 0), ("to_left", 0, -1)]
)
def test_a_further_bend_goes_where_it_is_said_to(side: str, up: int, right: int) -> None:
    """A ninety, then thirty degrees. Between them one looks along the run; the leg from the tape end stands up.

    To the right is forward times up, in a right-handed space (vector product).
    """
    path = build_path([Arc(10, 90, 0), Arc(30, 30, SIDES[side])], RADIUS, 50)
    leg, forward, after = (np.array(path.segment_at(at).tangent(at)) for at in (0, 25, 49))
    upward = -leg
    rightward = np.cross(forward, upward)
    assert after @ upward == pytest.approx(up * 0.5, abs=1e-9)  # sin 30
    assert after @ rightward == pytest.approx(right * 0.5, abs=1e-9)
