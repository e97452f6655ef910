"""Draws the bender on the pipe: its point on the mark, the hook and its direction, and the path of the free leg.

Drawn from the simulation, in the plane of the bend with the tape end to the left: the pipe as it is now and, dashed,
as it will be after the bend. On the floor, the leg behind the shoe lies flat and the one in the hook rises. The shoe
rolls along the pipe and touches it at the end of the arc made so far. In the air, the handle stands on the floor, the
hook holds its leg, and the other leg is pulled down around the shoe (both common practice, no source). The handle
leans over the hook at the start (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from bench.core.bender import Bender
from bench.core.path import Arc, Path, build_path
from bench.core.plan import Hook, Mark
from bench.core.simulate import arc_of
from bench.core.vectors import Vector, combine, dot, minus
from bench.pictures.scene import Area, Label, Line, Point, Scene, Tone, arrow_head

_SMALL = 1e-6
"""Degrees that stand for a bend not begun, so that its plane is defined while its arc has almost no length."""
_REACH = 3.1
"""Length of pipe drawn on each side of the mark, in bend radii."""
_SPAN = 90.0
"""Degrees of the shoe's groove."""
_STEP = 6.0


@dataclass(frozen=True, slots=True)
class Seat:
    """A mark, the bends made before it, the bender, the stick's length in inches, and whether it is bent in the air.

    `bent` is the fraction of the bend that is done: 0 when the bender is put on, 1 when it is fully pulled.
    """

    mark: Mark
    number: int
    made: Sequence[Mark]
    bender: Bender
    length: float
    in_the_air: bool = False
    bent: float = 0.0


@dataclass(frozen=True, slots=True)
class _Frame:
    """A point on a path with its directions: along the pipe, and toward the inside of the bend."""

    at: Vector
    along: Vector
    up: Vector
    shift: float

    def flat(self, point: Vector) -> Point:
        away = minus(point, self.at)
        return dot(away, self.along) + self.shift, dot(away, self.up)


def seated(seat: Seat, words: Mapping[str, str]) -> Scene:
    """The drawing. `words` are the screen's words: hook, tape_end, floor, and the three points."""
    bender, mark = seat.bender, seat.mark
    arc = arc_of(mark, bender)
    away = mark.hook is Hook.AWAY
    after = _lying(seat, arc, arc.angle)
    now = _lying(seat, arc, max(_SMALL, arc.angle * seat.bent))
    tool = _Tool(bender, arc, away, 0.0 if seat.in_the_air else seat.bent)
    place = float(mark.at) - arc.start
    shapes: list[Line | Area] = []
    right = away != seat.in_the_air
    ghost = _free_leg(after, right)
    if seat.bent < 1 and ghost:
        shapes.append(Line(ghost, Tone.GHOST, float(bender.od), dashed=True))
    shapes += [Line(run, Tone.PIPE, float(bender.od)) for run in now]
    shapes += tool.shapes()
    labels = [Label(tool.hook_tip, words["hook"], Tone.TOOL, (1.0 if away else -1.0, -0.6), large=True)]
    shapes += _sweep(ghost, right) if seat.bent < 1 else []
    tick = float(bender.od)
    foot = -float(bender.od) / 2 - 2.1 * tick
    shapes += [
        Line(((place, -tick * 0.5), (place, foot)), Tone.CURRENT, 0.14 * bender.radius),
        arrow_head((place, -tick * 0.5), (place, foot), 0.3 * bender.radius, Tone.CURRENT),
    ]
    point = words[f"point_{mark.reference}"].upper()
    labels.insert(0, Label((place, foot), point, Tone.CURRENT, (0.0, -1.0), large=True))
    reach = _REACH * bender.radius
    labels.append(Label((-reach, 0.0), words["tape_end"], Tone.MARK, (0.3, -1.0)))
    most = 1.9 * bender.radius
    scene = Scene(tuple(shapes), tuple(labels), focus=(-most, foot, most, most))
    if not seat.in_the_air:
        return _on_the_floor(scene, bender, reach)
    return replace(_upside_down(scene, tool.handle_end), name=words["in_the_air"])


def _lying(seat: Seat, arc: Arc, angle: float) -> tuple[tuple[Point, ...], ...]:
    """The pipe with this bend at `angle` and the fixed leg level, clipped to the drawing."""
    bender = seat.bender
    path = build_path(
        (*(arc_of(mark, bender) for mark in seat.made), Arc(arc.start, angle, arc.roll)),
        bender.radius,
        seat.length,
    )
    frame = _frame(path, arc, angle, (seat.mark.hook is Hook.AWAY) != seat.in_the_air)
    reach = _REACH * bender.radius
    low, high = arc.start - 2 * reach, arc.end(bender.radius) + 2 * reach
    points = [frame.flat(point) for s, point in _dense(path) if low <= s <= high]
    return _clipped(points, reach)


def _dense(path: Path) -> list[tuple[float, Vector]]:
    """Points along the path, at most an inch apart on straights and closer in arcs."""
    points: list[tuple[float, Vector]] = []
    for segment in path.segments:
        turn = math.degrees(segment.length * segment.curvature)
        count = max(1, math.ceil(turn / _STEP), math.ceil(segment.length))
        for index in range(count + 1):
            s = segment.start + segment.length * index / count
            points.append((s, segment.point(s)))
    return points


def _frame(path: Path, arc: Arc, angle: float, before: bool) -> _Frame:
    """The frame of the fixed leg, which is level: the one `before` the arc or the one after it."""
    bend = next(s for s in path.segments if abs(s.start - arc.start) < 1e-9 and s.curvature)
    if before:
        return _Frame(bend.origin, bend.along, bend.towards, 0.0)
    turn = math.radians(angle)
    up = combine(bend.along, -math.sin(turn), bend.towards, math.cos(turn))
    return _Frame(
        bend.point(bend.end), bend.tangent(bend.end), up, arc.length(path.radius) * angle / arc.angle
    )


def _clipped(points: Sequence[Point], reach: float) -> tuple[tuple[Point, ...], ...]:
    """The runs of points inside the drawing."""
    runs: list[list[Point]] = [[]]
    for point in points:
        if -reach <= point[0] <= reach and -reach <= point[1] <= reach:
            runs[-1].append(point)
        elif runs[-1]:
            runs.append([])
    return tuple(tuple(run) for run in runs if len(run) > 1)


def _free_leg(after: Sequence[tuple[Point, ...]], right: bool) -> tuple[Point, ...]:
    """The leg that the bend moves, in its final position: the one to the `right` or the one to the left."""
    run = max(after, key=len, default=())
    lifted = [point for point in run if point[1] > 0.05]
    side = [point for point in lifted if (point[0] > 0) == right] or lifted
    return tuple(side if len(side) > 1 else ())


def _sweep(leg: Sequence[Point], right: bool) -> list[Line | Area]:
    """A curved arrow from the current to the final position of the free leg."""
    if len(leg) < 2:
        return []
    sign = 1 if right else -1
    end = leg[-1] if right else leg[0]
    reach = math.hypot(*end) * 0.86
    last = math.degrees(math.atan2(end[1], abs(end[0]))) * (0.86 if end[0] * sign >= 0 else 1.0)
    if end[0] * sign < 0:
        last = 180 - last
    if last < 8:
        return []
    turns = [last * n / 8 for n in range(1, 9)]
    curve = [(sign * reach * math.cos(math.radians(t)), reach * math.sin(math.radians(t))) for t in turns]
    size = 0.09 * reach
    return [Line(tuple(curve[:-1]), Tone.WAY, 0.03 * reach), arrow_head(curve[-1], curve[-2], 2 * size)]


@dataclass(frozen=True, slots=True)
class _Tool:
    """The bender in its current position: its groove touches the pipe at the end of the arc made so far."""

    bender: Bender
    arc: Arc
    away: bool
    bent: float

    def _put(self, points: Sequence[Point]) -> tuple[Point, ...]:
        """Map points of the shoe (hook to the left, front of the groove at the origin) to the drawing."""
        radius, turn = self.bender.radius, -math.radians(self.arc.angle * self.bent)
        whole = self.arc.length(radius)
        touch = whole * self.bent
        cosine, sine = math.cos(turn), math.sin(turn)
        put = []
        for x, y in points:
            up = y - radius
            across, high = x * cosine - up * sine + touch, x * sine + up * cosine + radius
            put.append((whole - across if self.away else across, high))
        return tuple(put)

    def shapes(self) -> list[Line | Area]:
        """Shoe, handle and hook."""
        radius, od = self.bender.radius, float(self.bender.od)
        groove = radius - od * 0.62
        rim = [
            (groove * math.sin(math.radians(t)), radius - groove * math.cos(math.radians(t)))
            for t in (_SPAN * n / 15 for n in range(16))
        ]
        thick = 0.2 * radius
        return [
            Line(self._put(((0.0, radius), self._handle())), Tone.TOOL, thick),
            Area(
                self._put([*rim, (groove * 0.25, radius * 1.12), (-groove * 0.12, radius * 0.95)]), Tone.TOOL
            ),
            Line(self._put(self._hook()), Tone.TOOL, 0.13 * radius),
        ]

    def _hook(self) -> tuple[Point, ...]:
        radius, od = self.bender.radius, float(self.bender.od)
        front = -self.bender.arc_start - float(self.bender.grip) - 0.1 * radius
        over, under = 0.3 * radius + od / 2, -od / 2 - 0.13 * radius
        return ((0.0, over), (front, over), (front, under), (front + 0.45 * radius, under))

    def _handle(self) -> Point:
        radius = self.bender.radius
        return -1.35 * radius, radius + 1.35 * radius

    @property
    def hook_tip(self) -> Point:
        """A point beside the hook."""
        return self._put([self._hook()[2]])[0]

    @property
    def handle_end(self) -> float:
        """The y of the handle's end in the drawing."""
        return self._put([self._handle()])[0][1]


def _on_the_floor(scene: Scene, bender: Bender, reach: float) -> Scene:
    """The scene with a floor line under the pipe."""
    level = -float(bender.od) / 2 - 0.28 * bender.radius
    floor = Line(((-reach, level), (reach, level)), Tone.FLOOR, 0.0)
    return replace(scene, shapes=(floor, *scene.shapes))


def _upside_down(scene: Scene, handle: float) -> Scene:
    """The scene turned over: the pipe above the shoe, the handle's end on the floor below."""
    turned: list[Line | Area] = []
    for shape in scene.shapes:
        points = tuple((x, -y) for x, y in shape.points)
        turned.append(
            Area(points, shape.tone)
            if isinstance(shape, Area)
            else Line(points, shape.tone, shape.width, shape.dashed)
        )
    left, _, right, _ = scene.box
    floor = Line(((left, -handle), (right, -handle)), Tone.FLOOR)
    labels = tuple(
        Label(
            (label.at[0], -label.at[1]),
            label.words,
            label.tone,
            (label.toward[0], -label.toward[1]),
            label.large,
        )
        for label in scene.labels
    )
    focus = scene.focus and (scene.focus[0], -scene.focus[3], scene.focus[2], -scene.focus[1])
    return replace(scene, shapes=(floor, *turned), labels=labels, focus=focus)
