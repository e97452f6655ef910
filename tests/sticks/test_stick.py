"""Bends put on one stick: where they land on the straight conduit, whether they fit, in what order."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.core.bender import Setup
from bench.core.bends import work_out
from bench.core.bends.rack import Spread
from bench.core.given import Given
from bench.core.inverse import mark_for
from bench.core.notes import BenchError
from bench.core.plan import Finished, Hook, Layout, Mark, Method, Plan, Reference
from bench.core.stick import OnStick, Stick, lay_out, same_again
from bench.core.vectors import cross, dot, minus, norm
from bench.data import tables
from bench.data.limits import code_limits

HALF = tables.setup("emt", "1/2")
FINE = replace(HALF, scale=Fraction(1, 10**6))
LONG = replace(FINE, stick_length=Fraction(240))


def made(setup: Setup, bends: Sequence[tuple[float, float, float]], hook: Hook = Hook.TAPE_END) -> Plan:
    """A plan of arcs given by (start, degrees, roll) on the straight conduit."""
    marks = []
    for n, (start, degrees, roll) in enumerate(bends, start=1):
        at = Fraction(mark_for(start, Reference.ARROW, hook, degrees, setup.bender))
        marks.append(Mark(str(n), at, Reference.ARROW, hook, degrees, roll, n, degrees))
    total = sum(degrees for _, degrees, _ in bends)
    layout = Layout(Method.TRUE, tuple(marks), Finished())
    return Plan("made", "made", Given(), layout, None, 0.0, 0.0, 0.0, total, (), ())


def real(kind: str, setup: Setup, angle: float | None = None, **lengths: float) -> Plan:
    """A plan of core's own."""
    measures: dict[str, Fraction | float | int] = {key: Fraction(value) for key, value in lengths.items()}
    return work_out(kind, measures if angle is None else {**measures, "angle": float(angle)}, setup)


def offset(setup: Setup, at: float, degrees: float, rise: float, roll: float = 0.0) -> Plan:
    """An offset that begins `at`, by the exact relations of arcs and straight."""
    radius, angle = setup.bender.radius, math.radians(degrees)
    straight = (rise - 2 * radius * (1 - math.cos(angle))) / math.sin(angle)
    second = at + radius * angle + straight
    return made(setup, [(at, degrees, roll), (second, degrees, roll + 180)])


def test_published_back_to_back() -> None:
    """Two backs 40 in. apart: second mark 40 from the back of the first 90, star on the mark, bender turned
    (Modern Residential Wiring 2021 p. 145). Stub 10 on half-inch EMT, take-up 5: mark 5 (p. 144)."""
    stub = made(HALF, [(5 + HALF.bender.arc_start, 90, 0)])
    assert float(stub.marks[0].at) == pytest.approx(5)
    second = Mark("1", Fraction(40), Reference.STAR, Hook.AWAY, 90, 0, 1, 90)
    back_to_back = replace(stub, chosen=Layout(Method.TRUE, (second,), Finished()))
    stick = lay_out(HALF, [OnStick(stub), OnStick(back_to_back)])
    second_leg = stick.path.segments[-1].origin[1]
    assert second_leg + HALF.od == pytest.approx(40, abs=1 / 16)


def test_measures_of_the_finished_run_carry_on_past_an_offset() -> None:
    """A second offset measured on the wall begins there, although the first takes up conduit."""
    first, second = offset(FINE, 20, 30, 6), offset(FINE, 70, 22.5, 3)
    stick = lay_out(FINE, [OnStick(first), OnStick(second)])
    begins = stick.path.arcs[2].start
    assert stick.path.point(begins)[0] == pytest.approx(70, abs=1e-4)
    assert begins > 70 + 1


def test_measures_after_a_ninety_begin_at_its_back() -> None:
    first, second = made(FINE, [(20, 90, 0)]), offset(FINE, 30, 30, 4, roll=180)
    stick = lay_out(FINE, [OnStick(first), OnStick(second)])
    path = stick.path
    back = path.point(0.0)[1] - float(FINE.od) / 2
    assert path.point(path.arcs[1].start)[1] - back == pytest.approx(30, abs=1e-4)


@pytest.mark.parametrize(("degrees", "from_back"), [(90, True), (70, True), (61, True), (45, False)])
def test_a_steep_bend_is_measured_from_its_back_as_a_ninety_is(degrees: float, from_back: bool) -> None:
    """From 60 degrees on the tape goes along the new leg, from the back of the bend; below that it still runs
    from the tape end, seen along the new leg (common practice, no source). The back by plane geometry: the arc
    begins R sin before its end along the new leg, and half a diameter behind the centerline."""
    stick = lay_out(FINE, [OnStick(made(FINE, [(20, degrees, 0)])), OnStick(offset(FINE, 30, 30, 4))])
    radius, theta = FINE.bender.radius, math.radians(degrees)
    begins = stick.path.arcs[1].start
    if from_back:
        back = 20 + radius * theta - radius * math.sin(theta) - float(FINE.od) / 2
        assert begins - back == pytest.approx(30, abs=1e-4)
    else:
        x, y, _ = stick.path.point(begins)
        assert x * math.cos(theta) + y * math.sin(theta) == pytest.approx(30, abs=1e-4)


def test_from_end_is_along_the_straight_conduit() -> None:
    stick = lay_out(
        HALF, [OnStick(offset(HALF, 20, 30, 6)), OnStick(offset(HALF, 0, 30, 6), from_end=Fraction(60))]
    )
    moved = stick.marks[2].at - round(offset(HALF, 0, 30, 6).marks[0].at * 16) / Fraction(16)
    assert moved == 60


def test_cut_and_remnant() -> None:
    """Boxes 87.3 apart, rise 5.4 at 45 degrees, constant 0.41: 89.51 of conduit (apprenticeship question);
    exact for sharp corners 89.537. A bender's arcs take up less: 2g = 2 (2R tan - R theta) shorter."""
    stick = lay_out(FINE, [OnStick(offset(FINE, 30, 45, 5.4))], finish=Fraction("87.3"))
    radius, angle = FINE.bender.radius, math.radians(45)
    saved = 2 * (2 * radius * math.tan(angle / 2) - radius * angle)
    assert float(stick.used) == pytest.approx(89.537 - saved, abs=5e-4)
    assert stick.remnant == 120 - stick.used
    assert stick.path.point(float(stick.used))[0] == pytest.approx(87.3, abs=1e-4)


def test_degrees_and_the_limit() -> None:
    stick = lay_out(
        HALF, [OnStick(made(HALF, [(20, 90, 0), (45, 90, 0)])), OnStick(made(HALF, [(10, 90, 0)]))]
    )
    limit = code_limits().bends
    assert (stick.total_degrees, limit.left(stick.total_degrees), stick.warnings) == (270, 90, ())
    assert limit.warn(stick.total_degrees) == ()
    over = lay_out(
        HALF, [OnStick(made(HALF, [(10, 90, 0), (30, 90, 0), (50, 90, 0), (70, 90, 0), (90, 10, 0)]))]
    )
    assert limit.left(over.total_degrees) == -10
    (note,) = limit.warn(over.total_degrees)
    assert (note.code, note.values["over"]) == ("pull_point_needed", 10)


def test_marks_numbered_and_asked_for() -> None:
    stick = lay_out(HALF, [OnStick(offset(HALF, 20, 30, 6)), OnStick(offset(HALF, 60, 30, 6))])
    assert [mark.name for mark in stick.marks] == ["1", "2", "3", "4"]
    assert stick.mark(2) is stick.marks[1]
    assert stick.distance_to_next(1) == stick.marks[1].at - stick.marks[0].at
    assert stick.distance_to_next(4) is None
    with pytest.raises(BenchError) as caught:
        stick.mark(5)
    assert caught.value.remedy.values == {"count": 4}


def test_overlap_names_how_far_to_move() -> None:
    """What is told, moved by once for the arcs and once for hook and foot, is enough; a quarter inch less is not."""
    bend = work_out("offset", {"distance": Fraction(36), "rise": Fraction(6), "angle": 30.0}, HALF)
    at, told = Fraction(8), []
    for _ in range(3):
        try:
            lay_out(HALF, [OnStick(bend), OnStick(bend, from_end=at)])
        except BenchError as error:
            told.append(error.code)
            lack = error.remedy.values["lack"]
            assert isinstance(lack, Fraction)
            at += lack
    assert told == ["bends_overlap", "no_order_holds"]
    with pytest.raises(BenchError):
        lay_out(HALF, [OnStick(bend), OnStick(bend, from_end=at - Fraction(1, 4))])


@pytest.mark.parametrize(
    ("length", "finish", "code"), [(30, None, "bends_off_stick"), (50, 60, "stick_too_short")]
)
def test_off_the_stick(length: int, finish: int | None, code: str) -> None:
    with pytest.raises(BenchError) as caught:
        lay_out(
            HALF,
            [OnStick(offset(HALF, 20, 30, 6))],
            Fraction(length),
            None if finish is None else Fraction(finish),
        )
    assert caught.value.code == code


def test_before_the_tape_end() -> None:
    early = offset(HALF, 0, 30, 6)
    with pytest.raises(BenchError) as caught:
        lay_out(HALF, [OnStick(early)])
    back = caught.value.remedy.values["back"]
    assert isinstance(back, Fraction)
    lay_out(HALF, [OnStick(early, from_end=back)])


def test_order_turns_round_when_the_hook_would_sit_on_a_bend() -> None:
    """Hook toward the tape end, too near the bend before it: the far bend is made first. On 1-1/4 EMT the hook
    wants 5-1/2 in. of straight and the foot 4."""
    large = tables.setup("emt", "1 1/4")
    near, far = made(large, [(20, 90, 0)]), made(large, [(36, 30, 0)])
    stick = lay_out(large, [OnStick(near), OnStick(far, from_end=Fraction(0))])
    assert [mark.order for mark in stick.marks] == [2, 1]
    assert stick.warnings == ()


def test_no_order_leaves_room() -> None:
    near, far = made(HALF, [(20, 90, 0)], Hook.AWAY), made(HALF, [(27, 30, 0)])
    stick = lay_out(HALF, [OnStick(near), OnStick(far, from_end=Fraction(0))])
    assert [note.code for note in stick.warnings] == ["no_room_for_shoe"]


def parallel_gap(one: Stick, other: Stick, aside: tuple[float, float, float]) -> list[float]:
    """Distance between the lines of corresponding straights, the other pipe lying `aside` at the tape end."""
    gaps = []
    for mine, theirs in zip(one.path.segments[::2], other.path.segments[::2], strict=True):
        between = minus(tuple(a + b for a, b in zip(theirs.origin, aside, strict=True)), mine.origin)  # type: ignore[arg-type]
        assert dot(mine.along, theirs.along) == pytest.approx(1)
        gaps.append(norm(cross(between, mine.along)))
    return gaps


def test_published_parallel_offset() -> None:
    """Offsets of 30 degrees, centers 2 apart: advance tan 15 x 2 = 0.536, 9/16 (IBEW Local 903 booklet)."""
    stick = lay_out(HALF, [OnStick(real("offset", HALF, distance=30, rise=6, angle=30))])
    moved = same_again(stick, Fraction(2))
    assert [after.at - before.at for before, after in zip(stick.marks, moved.marks, strict=True)] == [
        Fraction(9, 16)
    ] * 2


def test_rack_across_the_bends_moves_nothing() -> None:
    stick = lay_out(HALF, [OnStick(real("offset", HALF, distance=30, rise=6, angle=30))])
    assert same_again(stick, Fraction(2), turn=90).marks == stick.marks
    assert same_again(stick, Fraction(2), spread=Spread.SIDE_BY_SIDE).marks == stick.marks
    assert same_again(stick).marks == stick.marks


@given(st.floats(1, 4), st.floats(10, 60), st.floats(5, 10), st.sampled_from([0.0, 180.0]), st.booleans())
def test_neighbors_run_parallel(
    spacing: float, degrees: float, rise: float, roll: float, corner: bool
) -> None:
    """Every straight of the next pipe lies exactly `spacing` from its neighbor's, and so does the cut
    end."""
    bends = [OnStick(real("offset", LONG, distance=100, rise=rise, angle=degrees))]
    if corner:
        bends.append(OnStick(real("stub", LONG, height=130), roll))
    stick = lay_out(LONG, bends, finish=Fraction(60 if corner else 160))
    moved = same_again(stick, Fraction(spacing))
    aside = (0.0, -spacing * math.cos(math.radians(stick.marks[0].roll)), 0.0)
    assert parallel_gap(stick, moved, aside) == pytest.approx(
        [spacing] * len(stick.path.segments[::2]), abs=1e-4
    )
    ends = minus(moved.path.point(float(moved.used)), stick.path.point(float(stick.used)))
    beyond = dot((ends[0], ends[1] + aside[1], ends[2]), stick.path.segments[-1].along)
    assert beyond == pytest.approx(0, abs=1e-4)


def test_a_bend_given_after_one_farther_on_leaves_the_next_its_place() -> None:
    """The finished run is the same in whichever order its bends are given, so the next one's marks are too."""
    setup = replace(HALF, stick_length=Fraction(240))
    plan = work_out("offset", {"distance": Fraction(30), "rise": Fraction(4), "angle": 30.0}, setup)
    near, far = OnStick(plan, from_end=Fraction(0)), OnStick(plan, 180.0, Fraction(60))
    last = OnStick(work_out("offset", {"distance": Fraction(150), "rise": Fraction(4), "angle": 30.0}, setup))
    given, along = lay_out(setup, [far, near, last]), lay_out(setup, [near, far, last])
    assert [mark.at for mark in given.marks] == [mark.at for mark in along.marks]
