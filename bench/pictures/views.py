"""The finished conduit seen from the side and from above, cut down to where the bends are."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from bench.core.path import Path

Flat = tuple[float, float]
_FLAT = 0.25
"""Inches; less than this out of line is flat to the eye."""
_LEVEL = 0.02
"""Slope up to which a leg is level, or upright: about one degree."""
_STEEP, _WHOLE = 60.0, 48.0
"""Degrees from which a single bend is a stub, and inches up to which its leg is drawn whole."""
_MARGIN = 8.0
"""Straight conduit shown beyond the first and the last bend, inches."""


@dataclass(frozen=True, slots=True)
class Silhouette:
    """One view of the bends: points of the centerline in inches, the middle of each arc, and how far along the
    conduit each of these points is.

    `cut_start` and `cut_end` tell that straight conduit goes on beyond what is shown.
    """

    points: tuple[Flat, ...]
    bends: tuple[Flat, ...]
    cut_start: bool
    cut_end: bool
    along: tuple[float, ...] = ()

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Least x and y, most x and y."""
        xs, ys = zip(*self.points, strict=True)
        return min(xs), min(ys), max(xs), max(ys)

    def rise(self, od: float) -> float | None:
        """What a tape shows between its lowest and its highest conduit, inches; None where one of the two
        goes on beyond what is shown.

        Level conduit is measured from the same side of both: centerline to centerline. To an end that stands
        up it is measured from the back of the conduit below, half the diameter `od` more.
        """
        _, low, _, high = self.box
        if high - low < _FLAT:
            return None
        more = 0.0
        first, last = self.points[:2], self.points[:-3:-1]
        for (end, inner), goes_on in ((first, self.cut_start), (last, self.cut_end)):
            along, up = abs(end[0] - inner[0]), abs(end[1] - inner[1])
            if up < _LEVEL * along or min(abs(end[1] - low), abs(end[1] - high)) > _FLAT:
                continue
            if goes_on or along > _LEVEL * up:
                return None
            more = od / 2 if not more else 0.0
        return high - low + more

    @property
    def mirrored(self) -> Silhouette:
        """The view upside down."""
        up = [tuple((x, -y) for x, y in points) for points in (self.points, self.bends)]
        return Silhouette(up[0], up[1], self.cut_start, self.cut_end, self.along)

    def turned(self, degrees: float) -> Silhouette:
        """The view turned about the origin."""
        return Silhouette(
            tuple(_turn(self.points, degrees)),
            tuple(_turn(self.bends, degrees)),
            self.cut_start,
            self.cut_end,
            self.along,
        )


def side_view(path: Path, whole_tape_leg: bool = False) -> Silhouette:
    """Seen along z, the plane of a bend with roll 0, turned so that the bends rise and the longer way lies
    level; with all of the conduit from the tape end where `whole_tape_leg`."""
    view = _silhouette(path, 1, whole_tape_leg)
    left, low, right, high = view.box
    if high - low > right - left:
        view = view.turned(-90 if view.points[-1][1] > view.points[0][1] else 90)
    return view if _rises(view) else view.mirrored


def standing(path: Path, whole_tape_leg: bool = False) -> Silhouette:
    """The side view as the pipe is set down to be measured: a tape leg that is upright stands up from the floor, and
    the one of a single steep bend is upright, and whole."""
    stub = len(path.arcs) == 1 and path.arcs[0].angle > _STEEP
    view = side_view(path, whole_tape_leg or (stub and path.arcs[0].start < _WHOLE))
    if stub and not _upright(view):
        view = view.turned(90)
    return view.mirrored if _upright(view) and view.points[0][1] < view.points[1][1] else view


def _upright(view: Silhouette) -> bool:
    """Whether the tape leg stands up."""
    (x0, y0), (x1, y1) = view.points[:2]
    return abs(x1 - x0) < _LEVEL * abs(y1 - y0)


def top_view(path: Path) -> Silhouette | None:
    """Seen along y, or None when the conduit lies in one plane."""
    view = _silhouette(path, 2)
    low, high = view.box[1], view.box[3]
    return view if high - low > _FLAT else None


def _silhouette(path: Path, axis: int, whole_tape_leg: bool = False) -> Silhouette:
    radius = path.radius
    first = path.arcs[0].start - _MARGIN if path.arcs else 0.0
    last = path.arcs[-1].end(radius) + _MARGIN if path.arcs else path.length
    start, end = 0.0 if whole_tape_leg else max(0.0, first), min(path.length, last)
    inside = [s for s, _ in path.sampled(3.0) if start < s < end]
    along = (start, *inside, end)
    points = [path.point(s) for s in along]
    middles = [path.point((arc.start + arc.end(radius)) / 2) for arc in path.arcs]
    return Silhouette(
        tuple((point[0], point[axis]) for point in points),
        tuple((point[0], point[axis]) for point in middles),
        start > 0,
        end < path.length,
        along,
    )


def _rises(view: Silhouette) -> bool:
    """True when more of the conduit lies above its start than below."""
    start = view.points[0][1]
    return sum(y - start for _, y in view.points) >= 0


def _turn(points: Sequence[Flat], degrees: float) -> Iterator[Flat]:
    cosine, sine = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return ((x * cosine - y * sine, x * sine + y * cosine) for x, y in points)
