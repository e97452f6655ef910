"""A person who does what the screen says, word by word, ends up with the bends of the plan, each to its own side.

The second road: on the floor a bend comes up, in the air (handle down) it goes down, a turn to the left brings up what
was at the right. Nothing else is used here, with the words of the screen; the plan's rolls are only compared with.
"""

from __future__ import annotations

import re

import pytest

from bench.dialogue.effects import View
from bench.pictures.scene import Line, Scene, Tone
from tests.screen.test_legible_steps import JOBS, KNOWN, ON, of_steps

TURNED = ["another bend", "offset", "sixty", "six", "no", "turn", "to the left", "yes", *ON]
SIDES = {
    **JOBS,
    "long offset": ["offset", "forty", "six", "skip", "yes", *ON],
    "offset to the left": ["stub", "twelve", "yes", *ON[:4], "another bend", *TURNED[1:]],
    "offset to the left, apart": ["step by step", "stub", "twelve", "yes", *ON[:8], *TURNED],
}


def bends(job: str) -> list[View]:
    verbs = {KNOWN.verbs[key] for key in ("turn", "seat", "bend")}
    return list(dict.fromkeys(view for view in of_steps(SIDES[job]) if view.verb in verbs and view.action))


def followed(views: list[View]) -> dict[int, float]:
    """To which side each mark is bent, degrees from the top to the right as seen from the tape end."""
    up, air, sides = 0.0, False, {}
    for view in views:
        for line in view.action:
            if line in ("half a turn", "half a turn back"):
                up += 180
            elif turn := re.fullmatch(r"([\d½]+)° (left|right)", line):
                by = float(turn[1].replace("½", ".5"))
                up += by if turn[2] == "left" else -by
            elif line in ("handle down", "handle up"):
                air = line == "handle down"
            elif put := re.fullmatch(r".* on (\d)", line):
                sides[int(put[1])] = (up + (180 if air else 0)) % 360
    return sides


@pytest.mark.parametrize(
    "job", ["saddle", "rolling", "ninety", "apart", "box", *sorted(set(SIDES) - set(JOBS))]
)
def test_every_bend_goes_to_the_side_of_the_plan(job: str) -> None:
    views = bends(job)
    sides, stick = followed(views), views[-1].stick
    assert stick is not None
    assert set(sides) == set(range(1, len(stick.marks) + 1))
    first = min(stick.marks, key=lambda mark: mark.order)
    for number, mark in enumerate(stick.marks, 1):
        wanted = (mark.roll - first.roll) % 360
        assert sides[number] == pytest.approx(wanted, abs=0.3), (number, sides)


def test_some_of_them_turn_and_some_go_in_the_air() -> None:
    lines = {line for job in SIDES for view in bends(job) for line in view.action}
    assert {"handle down", "handle up", "seen from tape end"} <= lines


def lines_of(scene: Scene, tone: Tone) -> list[Line]:
    return [shape for shape in scene.shapes if isinstance(shape, Line) and shape.tone is tone]


def test_in_the_air_the_drawing_pulls_down_the_leg_that_the_hook_does_not_hold() -> None:
    """The hook holds its leg to the shoe, which stands; the other one goes around the shoe (common practice, no
    source). In a saddle the crown stays up, as it was bent on the floor."""
    _, second, third = bends("saddle")
    for view, hook in ((second, 1), (third, -1)):
        (scene, *_) = view.scenes
        assert scene.name == KNOWN.words["in_the_air"]
        (ghost,) = lines_of(scene, Tone.GHOST)
        lowest = min(ghost.points, key=lambda point: point[1])
        assert lowest[0] * hook < 0
        pipe = [point for line in lines_of(scene, Tone.PIPE) for point in line.points]
        crown = max(pipe, key=lambda point: point[1])
        assert crown[1] > 1.0
        assert crown[0] * hook > 0
