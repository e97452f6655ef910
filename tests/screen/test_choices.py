"""What can be chosen without a voice: numbered tiles, the menu, and how large each place to tap is."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bench.dialogue.effects import View
from bench.dialogue.events import Key
from bench.screen.arrange import arrange
from bench.screen.page import Live, paint, shown_in_menu
from bench.screen.rows import text_of
from bench.screen.targets import LEAST_MM, Own, Target
from tests.examples import examples
from tests.screen.test_legible_steps import JOBS, views
from tests.screen.views import CHOOSING, CONFIRMING, MARKING, PAUSED, VIEWS

SIZES = ((60, 18), (80, 24), (100, 30), (120, 40), (160, 50), (200, 60), (45, 60), (300, 60))


def choices() -> list[View]:
    """Every question of a saddle that is answered by a choice."""
    return [view for view in views(JOBS["saddle"]) if view.choices]


def shown(view: View, size: tuple[int, int]) -> str:
    return "\n".join(text_of(row) for row in paint(view, *size).rows)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", VIEWS)
def test_every_place_to_tap_is_large_enough_for_a_glove(name: str, size: tuple[int, int]) -> None:
    """On a tablet of 10.1 inches at 16 to 10, 217.6 by 136 mm, which the terminal fills."""
    for live in (Live(), Live(menu=0)):
        targets = paint(VIEWS[name], *size, live).targets
        assert targets
        for target in targets:
            across, down = target.millimeters(*size)
            assert across >= LEAST_MM - 1e-6, (target, size)
            assert down >= LEAST_MM - 1e-6, (target, size)


@pytest.mark.parametrize("size", SIZES)
def test_every_choice_has_a_tile_with_its_number(size: tuple[int, int]) -> None:
    assert len(choices()) >= 5, "conduit, size, bender, bend, and what next"
    for view in (*choices(), CHOOSING):
        tapped: list[str] = []
        for at in range(len(view.choices)):
            page = paint(view, *size, Live(page=at))
            tiles = [target for target in page.targets if target.act in view.choices]
            for number, target in enumerate(tiles, len(tapped) + 1):
                inside = [
                    text_of(row)[target.left : target.right] for row in page.rows[target.top : target.bottom]
                ]
                assert any(line.strip().startswith(str(number)) for line in inside), (view.number, number)
            tapped += [str(target.act) for target in tiles]
            if len(tapped) >= len(view.choices):
                break
            assert Own.MORE in acts(page.targets), (view.number, size)
        assert tapped == list(view.choices), (view.number, size)


@pytest.mark.parametrize("size", [(60, 18), (80, 24), (120, 40), (300, 60)])
def test_tiles_are_read_from_across_the_room_and_their_pages_come_round(size: tuple[int, int]) -> None:
    """Three rows to a capital at the least from 80 by 24 on, and 16 minutes of arc (ISO 9241-303) at 3 m at 120 by 40
    on a laptop of 14 inches, 174.3 mm high (plane geometry), that the terminal fills."""
    laptop = 14 * 25.4 / math.hypot(16 / 9, 1)
    for view in choices():
        rounds = [arrange(view, *size, page=at) for at in range(len(view.choices) + 1)]
        for one in rounds:
            assert one.grid is not None
            assert one.grid.size >= 3 or size < (80, 24), (view.number, one)
            if size == (120, 40):
                assert math.degrees(one.grid.size * laptop / 40 / 3000) * 60 >= 16
        pages = list(dict.fromkeys(one.tiles for one in rounds))
        assert rounds[len(pages) % len(rounds)].tiles == pages[0]
        for at in range(len(pages)):
            for target in paint(view, *size, Live(page=at)).targets:
                assert min(target.millimeters(*size)) >= LEAST_MM - 1e-6, (target, size)


@pytest.mark.parametrize("size", [(60, 18), (80, 24), (120, 40), (45, 60)])
def test_the_menu_holds_everything_that_can_be_said_once(size: tuple[int, int]) -> None:
    found: list[str] = []
    for page in range(30):
        phrases = shown_in_menu(MARKING, *size, page)
        if phrases and phrases[0] in found:
            break
        found += phrases
        acts = [target.act for target in paint(MARKING, *size, Live(menu=page)).targets]
        assert acts[: len(phrases)] == list(phrases)
        assert Own.CLOSE in acts
    assert found == list(MARKING.phrases)


def test_what_the_bars_offer() -> None:
    assert acts(paint(CONFIRMING, 120, 40).targets) == [Key.BACK, Key.REPEAT, Own.MENU, Key.NO, Key.YES]
    assert acts(paint(MARKING, 120, 40).targets) == [Key.BACK, Key.REPEAT, Own.MENU, Key.NEXT]
    assert acts(paint(PAUSED, 120, 40).targets) == [Key.PAUSE]


def acts(targets: tuple[Target, ...]) -> list[object]:
    return [target.act for target in targets]


def test_typing_a_number_is_told_where_one_is_asked() -> None:
    asked = next(view for view in views(JOBS["saddle"]) if view.typed)
    for size in SIZES:
        assert "TYPE A NUMBER" in shown(asked, size), size
        assert "TYPE A NUMBER" not in shown(replace(asked, typed=False), size)


@settings(max_examples=examples(30), deadline=None)
@given(
    st.deferred(lambda: st.sampled_from([*choices(), CHOOSING, MARKING])),
    st.integers(40, 300),
    st.integers(12, 80),
    st.none() | st.integers(0, 9),
)
def test_tiles_lie_apart_and_on_the_screen(view: View, width: int, height: int, menu: int | None) -> None:
    targets = paint(view, width, height, Live(menu=menu)).targets
    tiles = [target for target in targets if not isinstance(target.act, Key | Own)]
    for target in targets:
        assert 0 <= target.left < target.right <= width + 1
        assert 0 <= target.top < target.bottom <= height
    for one, other in ((a, b) for at, a in enumerate(tiles) for b in tiles[at + 1 :]):
        apart = one.right <= other.left or other.right <= one.left
        assert apart or one.bottom <= other.top or other.bottom <= one.top
