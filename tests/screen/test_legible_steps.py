"""Every step of real conversations: the instruction is read from where the pipe is bent, on any usual screen."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from functools import cache

import pytest

from bench.data.bundle import knowledge
from bench.dialogue.effects import Show, View
from bench.dialogue.events import Event, Said, Started
from bench.dialogue.machine import step
from bench.dialogue.state import State
from bench.language.meaning import typed
from bench.screen.arrange import arrange
from bench.screen.legibility import LEAST_ARC_MINUTES, PANELS, arc_minutes, instruction_rows
from bench.screen.lettering import lettering
from bench.screen.meter import Sound
from bench.screen.page import Live, notices, paint
from bench.screen.rows import text_of
from bench.screen.sharing import MARGIN

KNOWN = knowledge()
LIVE = Live(Sound(-28.0, -47.0))
TOOLS = ["emt", "three quarter"]
ON = ["next"] * 30
JOBS = {
    "saddle": ["three point saddle", "thirty one and a quarter", "two and a half", "skip", "yes", *ON],
    "mended": [
        "three point saddle",
        "thirty",
        "three",
        "skip",
        "yes",
        *ON[:7],
        "it fits",
        "it fits",
        "three and a quarter",
        "yes",
        *ON,
    ],
    "rolling": ["rolling offset", "fifty", "eight", "six", "skip", "yes", *ON],
    "ninety": ["stub", "twelve", "yes", *ON],
    "apart": [
        "step by step",
        "three point saddle",
        "thirty one and a quarter",
        "two and a half",
        "skip",
        "yes",
        *ON,
    ],
    "row": ["marks together", "four point saddle", "forty", "three", "eight", "skip", "skip", "yes", *ON],
    "many": ["segmented bend", "twenty four", "ninety", "eighteen", "yes", *ON],
    "box": ["four point saddle", "forty", "three", "eight", "skip", "skip", "yes", *ON],
}
STEPS = ("mark", "turn", "seat", "bend", "check", "tweak", "confirm", "cut", "ream", "fit", "next")


def views(said: Sequence[str]) -> tuple[View, ...]:
    """Everything that is shown while this is said, each different view once."""
    return _views(tuple(said))


@cache
def _views(said: tuple[str, ...]) -> tuple[View, ...]:
    state, shown = State(), []
    events: list[Event] = [Started(False), *(Said(typed(line)) for line in (*TOOLS, *said))]
    for event in events:
        state, effects = step(state, event, KNOWN)
        shown += [effect.view for effect in effects if isinstance(effect, Show)]
    return tuple(dict.fromkeys(shown))


def of_steps(said: Sequence[str]) -> list[View]:
    verbs = {KNOWN.verbs[key] for key in STEPS}
    return [view for view in views(said) if view.verb in verbs and not view.troubles]


@pytest.mark.parametrize("job", JOBS)
def test_every_kind_of_step_is_in_these_jobs(job: str) -> None:
    found = {view.verb for view in of_steps(JOBS[job])}
    assert {KNOWN.verbs[key] for key in ("mark", "bend", "check", "confirm", "next")} <= found
    assert (KNOWN.verbs["seat"] in found) == (job == "apart")
    assert (KNOWN.verbs["tweak"] in found) == (job == "mended")


@pytest.mark.parametrize("job", JOBS)
def test_no_instruction_is_lower_than_three_rows_at_80_by_24(job: str) -> None:
    for view in of_steps(JOBS[job]):
        assert instruction_rows(view, 80, 24) >= 3, view


@pytest.mark.parametrize("job", JOBS)
def test_instructions_are_legible_at_three_meters_at_120_by_40(job: str) -> None:
    """16 minutes of arc (ISO 9241-303, least) at 3 m on a laptop of 14 inches that the terminal fills."""
    laptop = next(panel for panel in PANELS if panel.diagonal == 14.0)
    for view in of_steps(JOBS[job]):
        rows = instruction_rows(view, 120, 40)
        assert arc_minutes(rows * laptop.height / 40, 3.0) >= LEAST_ARC_MINUTES, (rows, view)


def test_cut_ream_and_fit_are_among_them() -> None:
    found = {view.verb for view in of_steps(JOBS["apart"])}
    assert {KNOWN.verbs[key] for key in ("cut", "ream", "fit")} <= found


@pytest.mark.parametrize("job", JOBS)
@pytest.mark.parametrize("size", [(60, 18), (300, 60)])
def test_an_instruction_is_whole_on_the_smallest_and_the_widest_screen(
    job: str, size: tuple[int, int]
) -> None:
    for view in of_steps(JOBS[job]):
        warned = len(notices(view, size[0] - 2 * MARGIN, size[1]))
        planned = arrange(view, *size, warned).plan
        shown = " ".join(planned.action or planned.lines).upper().replace("⁄", "/").replace(" · ", " ")
        halves = " 1/2" if planned.action else "½"
        assert " ".join(view.action).upper().replace("½", halves) in shown, view
        rows = [text_of(row) for row in paint(view, *size, LIVE).rows]
        assert any(row.startswith(" MIC") for row in rows), "nothing pushes the level meter off"
        assert not any(line.endswith("…") for line in planned.lines)


@pytest.mark.parametrize("job", JOBS)
@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
def test_no_measure_is_parted_and_every_word_of_the_instruction_is_there(
    job: str, size: tuple[int, int]
) -> None:
    for view in (replace(view, cautions=()) for view in of_steps(JOBS[job])):
        planned = arrange(view, *size).plan
        if view.action:
            words = " ".join(planned.action).upper().replace("⁄", "/")
            assert words.split() == re.sub("½", " 1/2", " ".join(view.action)).upper().split()
        page = "\n".join(text_of(row) for row in paint(view, *size).rows)
        for line in planned.action:
            assert lettering(line, planned.action_size)[0].strip() in page
            assert not re.search(r"\d$", line) or not re.match(r"\d+[⁄/]", _after(planned.action, line))


def _after(lines: tuple[str, ...], line: str) -> str:
    """The line under one."""
    at = lines.index(line) + 1
    return lines[at] if at < len(lines) else ""


def test_put_names_point_mark_and_hook() -> None:
    hooks = ("hook: tape end", "hook: far end", "hook: either way")
    for view in of_steps(JOBS["apart"]):
        if view.verb == KNOWN.verbs["seat"]:
            *swap, point, hook = view.action
            assert swap in ([], ["swap ends"], ["handle down"])
            assert re.fullmatch(r"(arrow|rim notch|star) on [123]", point)
            assert hook in hooks
            assert point.endswith(view.number)
            assert view.action_alone, (
                "the mark's number is in the instruction; a second one beside it would confuse"
            )
    bends = [view for view in of_steps(JOBS["saddle"]) if view.verb == KNOWN.verbs["bend"]]
    assert [view.action[:-3] for view in bends] == [(), ("handle down",), ("swap ends",)]
    for view in bends:
        point, hook, to = view.action[-3:]
        assert re.fullmatch(r"(arrow|rim notch|star) on [123]", point)
        assert hook in hooks
        assert to == f"bend {view.number}"


def test_a_mend_says_open_or_close_how_far_and_where() -> None:
    (view,) = [view for view in of_steps(JOBS["mended"]) if view.verb == KNOWN.verbs["tweak"]][:1]
    assert view.action
    assert all(re.fullmatch(r"(open|close) \d+(\.\d|½)?° at [123]", line) for line in view.action)


def test_cautions_are_whole_and_once_a_stick() -> None:
    seats = [view for view in of_steps(JOBS["saddle"]) if view.verb == KNOWN.verbs["bend"]]
    assert [bool(view.cautions) for view in seats] == [True, False, False]
    page = " ".join(" ".join(text_of(row) for row in paint(seats[0], 80, 24).rows).split())
    assert all(" ".join(caution.split()) in page for caution in seats[0].cautions)
