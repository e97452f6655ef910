"""What each step looks like: from the stick in hand to drawings of it. Pure."""

from __future__ import annotations

from collections.abc import Collection

from bench.core.checks import Check
from bench.core.lengths import Units
from bench.core.path import build_path
from bench.core.simulate import arcs
from bench.core.stick import Stick
from bench.dialogue.knowledge import Knowledge
from bench.language.write import written_value
from bench.pictures.measured import Wanted, measured
from bench.pictures.scene import Scene
from bench.pictures.seated import Seat, seated
from bench.pictures.shape import Pipe, shape
from bench.pictures.turned import turned


def bending(
    stick: Stick, index: int, made: Collection[int], pulled: bool, knowledge: Knowledge
) -> tuple[Scene, ...]:
    """The bender on mark `index` with the bends `made` before it, then the whole pipe."""
    mark, bender = stick.marks[index], stick.setup.bender
    before = tuple(stick.marks[each] for each in made if each != index)
    length = float(stick.length)
    seat = Seat(
        mark, index + 1, before, bender, length, mark.order in stick.in_the_air, bent=1.0 if pulled else 0.0
    )
    return (seated(seat, knowledge.words), *whole(stick, made, index, knowledge))


def turning(
    stick: Stick, index: int | None, made: Collection[int], by: float, knowledge: Knowledge
) -> tuple[Scene, ...]:
    """The end of the pipe turned by `by` degrees to the left, then the whole pipe."""
    return (turned(by, knowledge.words), *whole(stick, made, index, knowledge))


def checked(stick: Stick, owner: int, check: Check, units: Units, knowledge: Knowledge) -> tuple[Scene, ...]:
    """The bend of the plan `owner` with what is to be measured on it."""
    plan, setup = stick.bends[owner].plan, stick.setup
    path = build_path(arcs(plan.marks, setup.bender), setup.bender.radius, float(stick.length))
    pipe = Pipe(path, plan.marks, setup.od, range(len(plan.marks)))
    scene = measured(pipe, Wanted(check.key, written_value(check.planned, units)), knowledge.words)
    return () if scene is None else (scene,)


def whole(
    stick: Stick, made: Collection[int], current: int | None, knowledge: Knowledge
) -> tuple[Scene, ...]:
    """The pipe as it will be, the bends `made` solid, those to come dashed."""
    in_place = sorted(
        range(len(stick.marks)), key=lambda at: arcs((stick.marks[at],), stick.setup.bender)[0].start
    )
    if in_place != list(range(len(stick.marks))):
        return ()
    return shape(Pipe(stick.path, stick.marks, stick.setup.od, made, current), knowledge.words)


def finished(stick: Stick, knowledge: Knowledge) -> tuple[Scene, ...]:
    """The pipe with every bend made."""
    return whole(stick, range(len(stick.marks)), None, knowledge)
