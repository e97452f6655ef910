"""Draws the whole pipe to shape from the simulation: finished bends solid, future ones dashed, marks across it."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from bench.core.path import Path
from bench.core.plan import Mark
from bench.pictures.scene import Label, Line, Point, Scene, Tone
from bench.pictures.views import Silhouette, standing, top_view

_TO_COME = 0.4
"""Width of a future bend relative to the pipe. It is thinner because it is too short for visible dashes."""
_NUMBERED = 8
"""Of more marks only the first, the last and the current one are numbered: the others would overlap."""
_CLOSE = 3
"""Marks this many places apart or fewer have numbers that may overlap, where they are many."""


@dataclass(frozen=True, slots=True)
class Pipe:
    """The finished path, the marks in order of position, the outside diameter, the indexes of marks already bent, and
    that of the current mark."""

    path: Path
    marks: Sequence[Mark]
    od: float
    bent: Collection[int] = ()
    current: int | None = None


def shape(pipe: Pipe, words: Mapping[str, str]) -> tuple[Scene, ...]:
    """The side view, and a top view if the pipe leaves its plane. `words`: tape_end, from_side, from_above."""
    if not pipe.path.arcs:
        return ()
    above = top_view(pipe.path)
    side = _scene(pipe, standing(pipe.path), words, words["from_side"] if above else "")
    return (side,) if above is None else (side, _scene(pipe, above, words, words["from_above"]))


def _scene(pipe: Pipe, view: Silhouette, words: Mapping[str, str], name: str) -> Scene:
    lines = [
        Line(points, tone, pipe.od * (_TO_COME if tone is Tone.GHOST else 1.0), tone is Tone.GHOST)
        for tone, points in _runs(pipe, view)
    ]
    (x0, y0), (x1, y1) = view.points[:2]
    upright = abs(y1 - y0) > abs(x1 - x0)
    end = words["tape_end"].lstrip("◀ ") if upright else words["tape_end"]
    labels = [Label(view.points[0], end, Tone.MARK, (1.0, 0.0) if upright else (-0.2, -1.0))]
    numbered = _numbered(len(view.bends), pipe.current)
    for index, (place, out) in enumerate(_beside(view)):
        if index not in numbered:
            continue
        tick = "√" if index in pipe.bent else ""
        tone = Tone.CURRENT if index == pipe.current else Tone.MARK
        foot = (place[0] + out[0] * pipe.od * 0.7, place[1] + out[1] * pipe.od * 0.7)
        labels.append(Label(foot, f"{index + 1}{tick}", tone, out, large=True))
    return Scene((*lines, *_ticks(pipe, view)), tuple(labels), name)


def _numbered(count: int, current: int | None) -> Collection[int]:
    """Indexes of the marks that are numbered: all of a few; of many the current one, and the ends if they are not
    close to it."""
    if count <= _NUMBERED:
        return range(count)
    ends = {end for end in (0, count - 1) if current is None or abs(end - current) > _CLOSE}
    return ends if current is None else ends | {current}


def _runs(pipe: Pipe, view: Silhouette) -> Iterator[tuple[Tone, tuple[Point, ...]]]:
    """The pipe in runs that change where finished bends meet future ones."""
    to_come = [
        (arc.start, arc.end(pipe.path.radius))
        for index, arc in enumerate(pipe.path.arcs)
        if index not in pipe.bent
    ]

    def tone(s: float) -> Tone:
        return Tone.GHOST if any(start < s < end for start, end in to_come) else Tone.PIPE

    run: list[Point] = [view.points[0]]
    now = Tone.PIPE
    for (start, end), point in zip(pairwise(view.along), view.points[1:], strict=True):
        this = tone((start + end) / 2)
        if this is not now:
            yield now, tuple(run)
            run, now = run[-1:], this
        run.append(point)
    yield now, tuple(run)


def _ticks(pipe: Pipe, view: Silhouette) -> Iterator[Line]:
    """A tick across the pipe at each mark not yet bent."""
    for index, mark in enumerate(pipe.marks):
        if index in pipe.bent:
            continue
        at, ahead = _place(view, float(mark.at))
        side = (-ahead[1] * pipe.od * 0.9, ahead[0] * pipe.od * 0.9)
        ends = ((at[0] - side[0], at[1] - side[1]), (at[0] + side[0], at[1] + side[1]))
        yield Line(ends, Tone.CURRENT if index == pipe.current else Tone.MARK, 0.25 * pipe.od)


def _place(view: Silhouette, s: float) -> tuple[Point, Point]:
    """The point at distance `s` along the pipe, and the direction there."""
    pairs = list(zip(pairwise(view.along), pairwise(view.points), strict=True))
    (low, high), (start, end) = next((pair for pair in pairs if s <= pair[0][1]), pairs[-1])
    share = max(0.0, min(1.0, (s - low) / (high - low))) if high > low else 0.0
    dx, dy = end[0] - start[0], end[1] - start[1]
    long = math.hypot(dx, dy) or 1.0
    return (start[0] + dx * share, start[1] + dy * share), (dx / long, dy / long)


def _beside(view: Silhouette) -> Iterator[tuple[Point, Point]]:
    """The middle of each bend and the outward direction, away from the legs, where its number fits."""
    middle_x = sum(point[0] for point in view.points) / len(view.points)
    middle_y = (min(p[1] for p in view.points) + max(p[1] for p in view.points)) / 2
    for place in view.bends:
        up = place[1] - middle_y
        if abs(up) > 0.2:
            yield place, (0.0, math.copysign(1.0, up))
        else:
            yield place, (math.copysign(0.6, place[0] - middle_x), 1.0)
