"""The drawings against the simulation and plain geometry: true shape, the hook's way, floor and air."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest

from bench.core.plan import Hook, Mark, Reference
from bench.core.simulate import simulate
from bench.data.bundle import knowledge
from bench.pictures.measured import Wanted, measured
from bench.pictures.scene import Area, Line, Point, Scene, Tone
from bench.pictures.seated import Seat, seated
from bench.pictures.shape import Pipe, shape
from bench.pictures.turned import turned
from bench.pictures.views import standing

KNOWN = knowledge()
BENDER, WORDS = KNOWN.typical["emt", "3/4"], KNOWN.words


def mark(at: int, bend: float, order: int, hook: Hook = Hook.TAPE_END, roll: float = 0.0) -> Mark:
    return Mark(str(order), Fraction(at), Reference.ARROW, hook, bend, roll, order, bend)


def lines(scene: Scene, tone: Tone) -> list[Line]:
    return [shape for shape in scene.shapes if isinstance(shape, Line) and shape.tone is tone]


def hook_of(scene: Scene) -> Point:
    return next(label.at for label in scene.labels if label.words == WORDS["hook"])


@pytest.mark.parametrize(("hook", "sign"), [(Hook.TAPE_END, -1), (Hook.AWAY, 1)])
def test_the_hook_is_on_the_side_it_faces_and_that_leg_rises(hook: Hook, sign: int) -> None:
    """The tape end is drawn to the left; the leg in the hook is the one that comes up (common practice, no source)."""
    scene = seated(Seat(mark(30, 90.0, 1, hook), 1, (), BENDER, 120.0), WORDS)
    (pointer, *_) = lines(scene, Tone.CURRENT)
    assert (hook_of(scene)[0] - pointer.points[0][0]) * sign > 0
    (ghost,) = lines(scene, Tone.GHOST)
    ends = [ghost.points[0], ghost.points[-1]]
    highest = max(ends, key=lambda point: point[1])
    assert highest[1] > 2 * BENDER.radius, "a ninety stands up"


@pytest.mark.parametrize("bend", [22.5, 30.0, 45.0, 90.0])
def test_the_bent_leg_stands_at_the_angle_of_the_bend(bend: float) -> None:
    scene = seated(Seat(mark(30, bend, 1), 1, (), BENDER, 120.0, bent=1.0), WORDS)
    (pipe,) = lines(scene, Tone.PIPE)
    (x0, y0), (x1, y1) = pipe.points[:2]
    assert math.degrees(math.atan2(y0 - y1, x1 - x0)) == pytest.approx(bend, abs=0.01)
    assert pipe.points[-1][1] == pytest.approx(0.0, abs=1e-9), "the leg behind the shoe lies on the floor"


def test_in_the_air_the_leg_goes_down_and_the_handle_stands_on_the_floor() -> None:
    seat = Seat(mark(30, 30.0, 1), 1, (), BENDER, 120.0, in_the_air=True)
    scene = seated(seat, WORDS)
    (ghost,) = lines(scene, Tone.GHOST)
    assert min(point[1] for point in ghost.points) < -1
    (floor,) = lines(scene, Tone.FLOOR)
    handle = min(point[1] for line in lines(scene, Tone.TOOL) for point in line.points)
    assert floor.points[0][1] == pytest.approx(handle)
    assert scene.name == WORDS["in_the_air"]


def test_the_arrow_points_at_the_mark() -> None:
    """The arc begins a bender's b past the arrow (core/bender.py), and the drawing's x is counted from there."""
    scene = seated(Seat(mark(30, 45.0, 1), 1, (), BENDER, 120.0), WORDS)
    (pointer, *_) = lines(scene, Tone.CURRENT)
    assert pointer.points[0][0] == pytest.approx(-BENDER.arc_start)


def test_the_shape_is_the_simulated_one_with_bends_to_come_dashed() -> None:
    marks = (mark(20, 30.0, 1), mark(40, 30.0, 2, roll=180.0))
    path = simulate(marks, BENDER, 120.0)
    (scene,) = shape(Pipe(path, marks, float(BENDER.od), bent=(0,)), WORDS)
    assert sum(line.dashed for line in lines(scene, Tone.GHOST)) == 1, "one bend is still to come"
    points = [point for line in lines(scene, Tone.PIPE) if line.width > 0.5 for point in line.points]
    rise = max(y for _, y in points) - min(y for _, y in points)
    legs = path.segments[0].origin[1], path.point(119.0)[1]
    assert rise == pytest.approx(abs(legs[1] - legs[0]), abs=1e-6)


def test_a_rolling_shape_has_a_view_from_above() -> None:
    marks = (mark(20, 30.0, 1, roll=40.0), mark(40, 30.0, 2, roll=220.0))
    views = shape(Pipe(simulate(marks, BENDER, 120.0), marks, 1.0), WORDS)
    assert [scene.name for scene in views] == [WORDS["from_side"], WORDS["from_above"]]


@pytest.mark.parametrize(("by", "sign"), [(90.0, -1), (270.0, 1), (45.0, -1)])
def test_a_turn_to_the_left_goes_to_the_left(by: float, sign: int) -> None:
    (ghost,) = lines(turned(by, WORDS), Tone.GHOST)
    assert ghost.points[-1][0] * sign > 0


def test_the_stub_stands_up_and_its_height_is_drawn_as_long_as_it_is() -> None:
    made = (mark(10, 90.0, 1),)
    path = simulate(made, BENDER, 120.0)
    view = standing(path)
    assert view.points[0][1] > view.points[-1][1], "the tape end is up"
    scene = measured(Pipe(path, made, float(BENDER.od), (0,)), Wanted("rise", '16"'), WORDS)
    assert scene is not None
    (dimension,) = [line for line in lines(scene, Tone.WAY) if not line.dashed]
    drawn = math.dist(*dimension.points)
    # take-up: arrow to the back of a finished 90 (core/bender.py); the stub is the mark and the take-up.
    assert drawn == pytest.approx(10 + float(BENDER.take_up), abs=0.02)


def test_what_no_drawing_is_known_of_has_none() -> None:
    made = (mark(10, 90.0, 1),)
    pipe = Pipe(simulate(made, BENDER, 120.0), made, 1.0)
    assert measured(pipe, Wanted("nothing", ""), WORDS) is None
    assert any(isinstance(each, Area) for each in seated(Seat(made[0], 1, (), BENDER, 120.0), WORDS).shapes)
