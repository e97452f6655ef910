"""Every step at any size: nothing cut in mid-sentence, no measure over two lines, cautions once and whole."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bench.dialogue.effects import View
from bench.pictures.scene import Scene
from bench.screen.arrange import arrange, pictured
from bench.screen.page import notices, paint
from bench.screen.raster import raster
from bench.screen.rows import length, text_of
from bench.screen.sharing import MARGIN
from tests.examples import examples
from tests.screen.test_legible_steps import JOBS, views

_PARTED = re.compile(r"\d$")
_SIZES = (st.integers(60, 300), st.integers(18, 66))


@cache
def steps() -> list[View]:
    """Everything shown in these jobs."""
    return list(dict.fromkeys(view for job in JOBS.values() for view in views(job) if not view.troubles))


@cache
def scenes() -> list[Scene]:
    """Every drawing of these jobs."""
    return list(dict.fromkeys(scene for view in steps() for scene in view.scenes))


def any_step(suits: Callable[[View], object] = lambda view: True) -> st.SearchStrategy[View]:
    """Any step that suits, worked out when it is first drawn."""
    return st.deferred(lambda: st.sampled_from([view for view in steps() if suits(view)]))


@settings(max_examples=examples(40), deadline=None)
@given(any_step(), *_SIZES)
def test_a_page_fills_its_screen_and_no_more(view: View, width: int, height: int) -> None:
    page = paint(view, width, height)
    assert len(page.rows) == height
    assert all(length(row) <= width for row in page.rows)


@settings(max_examples=examples(40), deadline=None)
@given(any_step(lambda view: view.action), *_SIZES)
def test_an_instruction_is_whole_and_no_measure_of_it_is_parted(view: View, width: int, height: int) -> None:
    warned = len(notices(view, width - 2 * MARGIN, height))
    planned = arrange(view, width, height, warned).plan
    shown = planned.action or planned.lines
    words = " ".join(shown).upper().replace("⁄", "/").replace(" · ", " ").split()
    wanted = re.sub("½", " 1/2", " ".join(view.action)).upper().split()
    if planned.action:
        assert words == wanted
    for line, after in pairwise(shown):
        assert not (_PARTED.search(line) and re.match(r"\d+[⁄/]", after)), (line, after)


@settings(max_examples=examples(30), deadline=None)
@given(any_step(lambda view: view.cautions), *_SIZES)
def test_cautions_are_whole_and_once(view: View, width: int, height: int) -> None:
    page = " ".join(" ".join(text_of(row) for row in paint(view, width, height).rows).split())
    shown = [caution for caution in view.cautions if " ".join(caution.split()) in page]
    assert shown, "the first one always"
    assert page.count("! CAUTION") == len(shown), "none that is cut"
    if height >= 24 and width >= 80:
        assert len(shown) == len(view.cautions)


@pytest.mark.parametrize("size", [(34, 7), (40, 12), (80, 24), (120, 30)])
def test_drawings_keep_to_their_cells_and_show_something(size: tuple[int, int]) -> None:
    assert len(scenes()) > 20
    for scene in scenes():
        rows = raster(scene, *size)
        assert len(rows) == size[1]
        assert all(length(row) == size[0] for row in rows)
        assert sum(not line.isspace() for line in map(text_of, rows)) >= 2, scene.name


@settings(max_examples=examples(20), deadline=None)
@given(
    st.lists(st.deferred(lambda: st.sampled_from(scenes())), min_size=1, max_size=3),
    st.integers(34, 260),
    st.integers(7, 60),
)
def test_drawings_side_by_side_take_the_room_given(several: list[Scene], width: int, height: int) -> None:
    rows = pictured(tuple(several), width, height)
    assert len(rows) == height
    assert all(length(row) <= width for row in rows)


def test_every_step_of_the_work_has_its_drawing_at_120_by_40() -> None:
    verbs = {view.verb for view in steps() if view.scenes and arrange(view, 120, 40).height}
    assert {"MARK", "BEND", "CHECK", "RIGHT?"} <= verbs
