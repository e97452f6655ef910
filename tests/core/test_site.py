"""What is measured on site, against published figures, plane geometry and an independent simulation."""

from __future__ import annotations

import math
from collections.abc import Mapping
from fractions import Fraction as F

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bench.core.bender import Setup
from bench.core.bends import work_out
from bench.core.given import Number
from bench.core.lengths import round_to
from bench.core.notes import BenchError
from bench.core.path import Path
from bench.core.simulate import simulate
from bench.core.site import SITES, Answer, work_out_site
from bench.core.site.compound import one_bend_for
from bench.core.site.curve import radius_of
from bench.core.site.holes import hole_spacing
from bench.core.site.match import angle_between, angle_to_bend
from bench.core.stick import OnStick, lay_out
from bench.data import tables
from tests.examples import examples

SETUP = tables.setup("emt", "1/2", stick_length=F(240))


def answer(key: str, setup: Setup = SETUP, **measures: Number) -> Answer:
    return found_from(key, measures, setup)


def found_from(key: str, measures: Mapping[str, Number], setup: Setup = SETUP) -> Answer:
    return work_out_site(key, measures, setup, tables.fittings())


def test_holes_square_to_the_run() -> None:
    """2 1/2 apart at thirty: 2.5 / cos 30 = 2.887, 2 7/8. IBEW booklet (K5)."""
    found = answer("holes", spacing=F(5, 2), angle=30.0)
    assert found.headline == F(23, 8)
    assert found.values["across"] == pytest.approx(2.887, abs=0.0005)


def test_holes_along_the_run() -> None:
    """Parallel kicks at thirty, conduits 2 apart: holes 4 apart, csc 30. Common practice, no source (K4)."""
    assert hole_spacing(F(2), 30) == pytest.approx(4)


def test_radius_from_a_gap() -> None:
    """A 24 in. level, gap 2 7/32: 33.560 to the surface. Inputs NJATC Level II lesson 4 (G2), computed."""
    found = answer("curve", setup=tables.setup("rmc", "2 1/2"), level=F(24), gap=F(71, 32))
    assert float(found.values["surface"]) == pytest.approx(33.560, abs=0.0005)
    assert float(found.values["surface"] - found.values["inside"]) == pytest.approx(1.4375)


@given(st.floats(3, 400), st.floats(0.05, 0.9))
def test_a_circle_has_that_gap(radius: float, half: float) -> None:
    """Points on a circle: chord 2 R sin, gap R (1 - cos)."""
    chord, gap = 2 * radius * math.sin(half), radius * (1 - math.cos(half))
    assert float(radius_of(F(chord), F(gap))) == pytest.approx(radius, rel=1e-6)


def test_two_bends_in_one() -> None:
    """Eleven and six degrees at right angles: acos(cos 11 cos 6) = 12.51; the handbook's rule of thumb says 13
    (Pipeline Rules of Thumb Handbook p. 41, R3)."""
    bend, _ = one_bend_for(11, 6)
    assert bend == pytest.approx(12.51, abs=0.005)
    assert abs(bend - 13) <= 1


@given(st.floats(1, 89), st.floats(1, 89))
def test_one_bend_points_where_both_would(up: float, across: float) -> None:
    """Turn in plan, then up the slope: rotations of numpy against one bend in the turned plane."""
    bend, turn = map(math.radians, one_bend_for(up, across))
    a, b = math.radians(up), math.radians(across)
    both = np.array([math.cos(a) * math.cos(b), math.cos(a) * math.sin(b), math.sin(a)])
    plane = np.array([0.0, math.sin(turn), math.cos(turn)])
    one = math.cos(bend) * np.array([1.0, 0.0, 0.0]) + math.sin(bend) * plane
    assert one == pytest.approx(both, abs=1e-9)


def test_concentric_nineties() -> None:
    """2 in. RMC, 2 in. gaps: radii 20, 24 3/8, 28 3/4; fifteen shots 2.094, 2.553, 3.011 apart; 31.416, 38.288, 45.160
    in the bends (G3: R tan 6, as taught, prints 2.10, 2.56, 3.02 and is 0.4 % long)."""
    found = answer(
        "concentric", setup=tables.setup("rmc", "2"), radius=F(20), spacing=F(35, 8), count=3, shots=15
    )
    assert [found.values[f"radius_{n}"] for n in (1, 2, 3)] == [F(20), F(195, 8), F(115, 4)]
    assert [found.values[f"step_{n}"] for n in (1, 2, 3)] == pytest.approx([2.094, 2.553, 3.011], abs=5e-4)
    assert [found.values[f"developed_{n}"] for n in (1, 2, 3)] == pytest.approx(
        [31.416, 38.288, 45.160], abs=5e-4
    )


@given(st.floats(0, 2), st.floats(0.3, 1), st.integers(8, 24))
def test_concentric_arcs_keep_their_spacing(start: float, part: float, spacing: int) -> None:
    """Every point of the outer arc is one spacing from the inner one, along the same ray."""
    found = answer("concentric", radius=F(20), spacing=F(spacing, 8), count=2)
    inner, outer = float(found.values["radius_1"]), float(found.values["radius_2"])
    ray = np.array([math.cos(start + part), math.sin(start + part)])
    assert np.linalg.norm(outer * ray - inner * ray) == pytest.approx(spacing / 8)


@settings(max_examples=examples(40), deadline=None)
@given(st.integers(20, 120), st.integers(32, 160))
def test_match_inverts_the_bend(halves: int, eighths: int) -> None:
    """An offset made at any angle, two heights read on its slope: the angle comes back."""
    degrees, setup = halves / 2, SETUP
    try:
        plan = work_out("offset", {"distance": F(120), "rise": F(eighths, 8), "angle": degrees}, setup)
    except BenchError:
        return
    path = simulate(plan.marks, setup.bender, 240.0)
    slope = path.segments[2]
    if slope.length < 0.5:
        return
    low, high = path.point(slope.start + 0.1), path.point(slope.end - 0.1)
    run = F(high[0] - low[0])
    found = angle_between(F(abs(low[1])), F(abs(high[1])), run)
    assert found == pytest.approx(degrees, abs=1e-6)
    assert abs(angle_to_bend(found, setup.bender.shoe_angles) - degrees) <= 1


def test_match_leads_to_the_offset() -> None:
    found = answer("match", low=F(2), high=F(9), run=F(12), rise=F(6))
    assert found.headline == 30.0
    assert found.leads_to is not None
    assert found.leads_to.bends[0].measures == {"angle": 30.0, "rise": F(6)}


def test_a_short_run_is_pointed_out() -> None:
    found = answer("match", low=F(2), high=F(5, 2), run=F(1))
    assert [note.code for note in found.notes][-1] == "match_short_run"


def test_boxes_from_the_course() -> None:
    """47 1/2 apart, rise 8 1/4 at 22 1/2: 49.047 by the taught shrink, 49.141 exact (course Level I lesson 7, O2) less
    nothing for fittings."""
    found = answer("boxes-offset", span=F(95, 2), distance=F(30), rise=F(33, 4), angle=22.5, take_off=F(0))
    assert found.leads_to is not None
    (lead,) = found.leads_to.bends
    plan = work_out(lead.kind, lead.measures, SETUP)
    path = simulate(plan.marks, SETUP.bender, float(plan.cut or 0))
    assert path.segments[-1].origin[0] < 47.5
    assert _end(path)[0] == pytest.approx(47.5, abs=1 / 16)
    assert abs(_end(path)[1]) == pytest.approx(8.25, abs=1 / 16)


@pytest.mark.parametrize(
    "kind", [key for key in SITES if key.startswith("boxes-") and key != "boxes-straight"]
)
def test_boxes_end_at_the_connectors(kind: str) -> None:
    """Both ends stand one take-off from the faces: the simulated pipe against the boxes."""
    take_off = F(1, 4)
    measures: dict[str, dict[str, Number]] = {
        "boxes-offset": {"span": F(90), "distance": F(40), "rise": F(6)},
        "boxes-saddle3": {"span": F(90), "to_center": F(40), "height": F(3)},
        "boxes-saddle4": {"span": F(110), "to_edge": F(40), "height": F(3), "width": F(8)},
        "boxes-stub": {"height": F(30), "leg": F(50)},
        "boxes-kick": {"height": F(30), "leg": F(60), "rise": F(4)},
    }
    found = found_from(kind, {**measures[kind], "take_off": take_off})
    leads_to = found.leads_to
    assert leads_to is not None
    bends = [OnStick(work_out(lead.kind, lead.measures, SETUP), lead.roll) for lead in leads_to.bends]
    stick = lay_out(SETUP, bends, finish=leads_to.finish)
    assert stick.cut_at is not None
    path = simulate(stick.marks, SETUP.bender, float(stick.cut_at))
    end = np.array(_end(path))
    if "span" in measures[kind]:
        assert end[0] == pytest.approx(float(measures[kind]["span"]) - 2 * float(take_off), abs=1 / 8)
    else:
        leg = float(measures[kind]["leg"]) - float(take_off)
        back = float(measures[kind]["height"]) - float(take_off) - SETUP.od / 2
        along = np.array(path.segments[-1].along)
        corner = np.array([back, 0.0, 0.0])
        assert float((end - corner) @ along) + SETUP.od / 2 == pytest.approx(leg, abs=1 / 8)


def test_a_ninety_with_a_kick_stands_off_by_its_rise() -> None:
    """The stub is upright and its line is one rise from the line of the kicked leg."""
    found = answer("boxes-kick", height=F(30), leg=F(60), rise=F(4), take_off=F(0))
    assert found.leads_to is not None
    bends = [OnStick(work_out(lead.kind, lead.measures, SETUP), lead.roll) for lead in found.leads_to.bends]
    stick = lay_out(SETUP, bends, finish=found.leads_to.finish)
    path = simulate(stick.marks, SETUP.bender, float(stick.used))
    stub, leg = np.array(path.segments[0].along), np.array(path.segments[-1].along)
    assert stub @ leg == pytest.approx(0.0, abs=1e-9)
    away = np.array(path.segments[-1].origin)
    across = np.cross(stub, leg)
    assert abs(float(away @ across)) == pytest.approx(4, abs=1 / 16)


@given(st.integers(16, 2000), st.integers(-8, 16))
@settings(max_examples=examples(40), deadline=None)
def test_a_straight_piece_and_its_fittings_fill_the_span(eighths: int, take_off: int) -> None:
    span, each = F(eighths, 4) + 4, F(take_off, 8)
    found = answer("boxes-straight", span=span, take_off=each)
    coupling = tables.fittings().of(SETUP.conduit).coupling
    joints = int(found.values["couplings"])
    assert F(found.values["cut"]) + 2 * each + joints * coupling == span
    assert found.headline == round_to(F(found.values["cut"]))


@pytest.mark.parametrize(
    ("code", "key", "measures"),
    [
        ("site_unknown", "nothing", {}),
        ("measure_missing", "match", {"low": F(2)}),
        ("measure_unknown", "match", {"width": F(2)}),
        ("measure_out_of_range", "curve", {"level": F(24), "gap": F(40)}),
        ("match_flat", "match", {"low": F(2), "high": F(2), "run": F(12)}),
        ("gap_too_deep", "curve", {"level": F(24), "gap": F(13)}),
        ("rack_touches", "concentric", {"radius": F(20), "spacing": F(1, 2), "count": 3}),
        ("no_conduit_left", "boxes-straight", {"span": F(4), "take_off": F(3)}),
        ("beyond_box", "boxes-offset", {"span": F(40), "distance": F(41), "rise": F(6)}),
    ],
)
def test_impossible_measures_are_refused(code: str, key: str, measures: dict[str, Number]) -> None:
    with pytest.raises(BenchError) as caught:
        found_from(key, measures)
    assert caught.value.code == code


def test_a_take_off_that_is_not_known_is_asked_for() -> None:
    with pytest.raises(BenchError) as caught:
        answer("boxes-straight", setup=tables.setup("metric", "20 mm"), span=F(40))
    assert caught.value.code == "take_off_unknown"


def _end(path: Path) -> tuple[float, float, float]:
    last = path.segments[-1]
    x, y, z = (o + a * (path.length - last.start) for o, a in zip(last.origin, last.along, strict=True))
    return x, y, z
