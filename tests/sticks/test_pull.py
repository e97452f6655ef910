"""The pull through bends against published and computed figures."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from bench.core.pull import multiplier, past_bend, past_straight, pull

# T_out / T_in by total degrees and friction; a cable maker's construction manual, appendix 8.12, prints the
# rows of friction 0.15 to 0.5 within 0.01 of these.
TABLE = [
    (15, (1.04, 1.05, 1.08, 1.11, 1.14)),
    (22.5, (1.06, 1.08, 1.13, 1.17, 1.22)),
    (30, (1.08, 1.11, 1.17, 1.23, 1.30)),
    (45, (1.13, 1.17, 1.27, 1.37, 1.48)),
    (60, (1.17, 1.23, 1.37, 1.52, 1.69)),
    (90, (1.27, 1.37, 1.60, 1.87, 2.19)),
    (120, (1.37, 1.52, 1.87, 2.31, 2.85)),
    (180, (1.60, 1.87, 2.57, 3.51, 4.81)),
    (270, (2.03, 2.57, 4.11, 6.59, 10.55)),
    (360, (2.57, 3.51, 6.59, 12.35, 23.14)),
]


@pytest.mark.parametrize(("degrees", "expected"), TABLE)
def test_table_of_multipliers(degrees: float, expected: tuple[float, ...]) -> None:
    found = [multiplier(degrees, friction) for friction in (0.15, 0.2, 0.3, 0.4, 0.5)]
    assert found == pytest.approx(expected, abs=0.0051)


def test_worked_example_of_the_manual() -> None:
    """36 lb in, one right angle, friction 0.5: 79 lb out (same manual)."""
    assert past_bend(36, 90, 0.5) == pytest.approx(79, abs=0.1)


def test_straight_pull() -> None:
    """Length x weight x friction; 0.3 for one cable (UFC 3-535-01, 2005, 12-4)."""
    assert past_straight(0, 250, 0.3) == pytest.approx(75)


@pytest.mark.parametrize(("sides", "expected"), [(10, 1.32), (15, 1.52), (22.5, 1.87), (30, 2.31)])
def test_gentle_saddles_pull_easier(sides: float, expected: float) -> None:
    """Three-bend saddles at friction 0.4, computed from the law."""
    saddle = pull((10, 10, 10, 10), (sides, 2 * sides, sides), 0.4)
    assert saddle.whole == pytest.approx(expected, abs=0.0051)
    assert saddle.after[-1] == pytest.approx(math.prod(saddle.each))


def test_feed_near_the_severe_bends() -> None:
    """Tension multiplies, so a bend late in the pull costs most (common practice)."""
    early = pull((12, 240), (90,), 0.4)
    assert early.feed_at_start
    assert not pull((240, 12), (90,), 0.4).feed_at_start
    assert early.from_start == pytest.approx(pull((240, 12), (90,), 0.4).from_end)


def test_one_more_straight_than_bends() -> None:
    with pytest.raises(ValueError, match="one more straight"):
        pull((1, 2), (90, 90), 0.4)


@given(st.floats(1, 360), st.floats(0.05, 0.9))
def test_law_solves_its_differential_equation(degrees: float, friction: float) -> None:
    """dT/dtheta = mu T, integrated by scipy."""
    span = (0.0, math.radians(degrees))
    solved = solve_ivp(lambda _, tension: friction * tension, span, [1.0], rtol=1e-9, atol=1e-12)
    assert multiplier(degrees, friction) == pytest.approx(solved.y[0, -1], rel=1e-6)


@given(st.floats(1, 360), st.floats(0.05, 0.9), st.floats(0, 500), st.floats(0, 60))
def test_weight_in_a_bend_solves_its_differential_equation(
    degrees: float, friction: float, tension: float, weight: float
) -> None:
    """The pipe bears the tension toward the center and the weight down: dT/dtheta = mu sqrt(T^2 + w^2), by scipy."""
    span = (0.0, math.radians(degrees))
    solved = solve_ivp(
        lambda _, pulled: friction * math.hypot(pulled[0], weight), span, [tension], rtol=1e-9, atol=1e-9
    )
    assert past_bend(tension, degrees, friction, weight) == pytest.approx(solved.y[0, -1], rel=1e-6, abs=1e-6)


def test_the_cable_in_the_bends_counts() -> None:
    """Four right angles of radius 5 3/4 between straights of 60 at 0.5: what the bends hold adds to the pull."""
    without = pull((60,) * 5, (90,) * 4, 0.5)
    assert pull((60,) * 5, (90,) * 4, 0.5, 5.75).from_start > without.from_start
    assert pull((60,) * 5, (90,) * 4, 0.5, 5.75).whole == without.whole


@given(st.lists(st.floats(1, 90), min_size=1, max_size=6), st.floats(0.05, 0.9))
def test_only_total_degrees_count(degrees: list[float], friction: float) -> None:
    straights = [0.0] * (len(degrees) + 1)
    assert pull(straights, degrees, friction).whole == pytest.approx(multiplier(sum(degrees), friction))
