"""Side and top views of the finished conduit, cropped to the bends."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from bench.core.path import Path

Flat = tuple[float, float]
_FLAT = 0.25
"""Inches out of line below which conduit looks flat."""
_LEVEL = 0.02
"""Slope up to which a leg counts as level or upright: about one degree."""
_STEEP, _WHOLE = 60.0, 48.0
"""Degrees from which a single bend is a stub, and inches up to which its leg is drawn in full."""
_MARGIN = 8.0
"""Straight conduit shown beyond the first and the last bend, inches."""


@dataclass(frozen=True, slots=True)
class Silhouette:
    """One view of the bends: points of the centerline in inches, the middle of each arc, and the distance of each point
    along the conduit.

    `cut_start` and `cut_end` mark that straight conduit continues beyond the view.
    """

    points: tuple[Flat, ...]
    bends: tuple[Flat, ...]
    cut_start: bool
    cut_end: bool
    along: tuple[float, ...] = ()

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Minimum x and y, maximum x and y."""
        xs, ys = zip(*self.points, strict=True)
        return min(xs), min(ys), max(xs), max(ys)

    def rise(self, od: float) -> float | None:
        """The tape reading between the lowest and the highest conduit, inches. None if one of the two continues beyond
        the view.

        Level conduit is measured from the same side of both, which equals centerline to centerline. An upright end is
        measured from the back of the conduit below, which adds half the diameter `od`.
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
        """The view rotated about the origin."""
        return Silhouette(
            tuple(_turn(self.points, degrees)),
            tuple(_turn(self.bends, degrees)),
            self.cut_start,
            self.cut_end,
            self.along,
        )


def side_view(path: Path, whole_tape_leg: bool = False) -> Silhouette:
    """The view along z onto the plane of a bend with roll 0, rotated so that the bends rise and the longer part is
    level. `whole_tape_leg` includes all conduit from the tape end."""
    view = _silhouette(path, 1, whole_tape_leg)
    left, low, right, high = view.box
    if high - low > right - left:
        view = view.turned(-90 if view.points[-1][1] > view.points[0][1] else 90)
    return view if _rises(view) else view.mirrored


def standing(path: Path, whole_tape_leg: bool = False) -> Silhouette:
    """The side view of the pipe set down for measuring. An upright tape leg points up from the floor. The tape leg of a
    single steep bend is upright and shown in full."""
    stub = len(path.arcs) == 1 and path.arcs[0].angle > _STEEP
    view = side_view(path, whole_tape_leg or (stub and path.arcs[0].start < _WHOLE))
    if stub and not _upright(view):
        view = view.turned(90)
    return view.mirrored if _upright(view) and view.points[0][1] < view.points[1][1] else view


def _upright(view: Silhouette) -> bool:
    """Whether the tape leg is upright."""
    (x0, y0), (x1, y1) = view.points[:2]
    return abs(x1 - x0) < _LEVEL * abs(y1 - y0)


def top_view(path: Path) -> Silhouette | None:
    """The view along y, or None when the conduit lies in one plane."""
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
