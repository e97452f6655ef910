"""What a screenful holds, at any size."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bench.core.plan import Hook, Mark, Reference
from bench.dialogue.effects import Stick, View
from bench.dialogue.events import Key
from bench.screen.lettering import lettering
from bench.screen.meter import Sound, meter
from bench.screen.page import Live, Page, paint
from bench.screen.pipe import picture, ruler
from bench.screen.rows import length, text_of
from bench.screen.shoe import scale
from bench.screen.themes import Role
from tests.examples import examples
from tests.screen.pictures import LIVE, SIZES, kept, sizes_for, trimmed
from tests.screen.views import (
    BENDING,
    CHECKING,
    MARKING,
    MARKS,
    METRIC,
    PAUSED,
    SHOE,
    TROUBLED,
    VIEWS,
)

WORDS = st.text("abc dé€½°\"'/0123456789-.,", max_size=60)
LENGTHS = st.integers(0, 4000).map(lambda count: Fraction(count, 16))
MARK = st.builds(
    Mark,
    name=st.just("1"),
    at=LENGTHS,
    reference=st.sampled_from(Reference),
    hook=st.sampled_from(Hook),
    bend=st.floats(0, 95),
    roll=st.floats(0, 360),
    order=st.integers(1, 9),
    pull=st.floats(0, 99),
)
STICKS = st.builds(
    Stick,
    length=st.floats(0, 300),
    marks=st.lists(MARK, max_size=9).map(lambda marks: tuple(sorted(marks, key=lambda mark: mark.at))),
    current=st.none() | st.integers(0, 9),
    reference=st.none() | st.sampled_from(Reference),
    hook=st.none() | st.sampled_from(Hook),
    bent=st.lists(st.integers(0, 9), max_size=4).map(tuple),
)
ANY_VIEW = st.builds(
    View,
    verb=st.sampled_from(["MARK", "BEND", "MEASURE", "TURN", "CONFIRM"]),
    number=WORDS,
    title=WORDS,
    lines=st.lists(WORDS, max_size=7).map(tuple),
    step=st.none() | st.tuples(st.integers(0, 99), st.integers(0, 99)),
    say=st.lists(st.sampled_from(["next", "yes", "no", "what can I say"]), max_size=9).map(tuple),
    said=WORDS,
    heard=WORDS,
    paused=st.booleans(),
    cautions=st.lists(WORDS, max_size=3).map(tuple),
    troubles=st.lists(WORDS, max_size=3).map(tuple),
    stick=st.none() | STICKS,
    angle=st.none() | st.floats(0, 120),
    shoe_angles=st.lists(st.floats(0, 95), max_size=8).map(tuple),
    level=st.none() | st.floats(-90, 90),
)


def shown(page: Page) -> str:
    return "\n".join(text_of(row) for row in page.rows)


def roles(page: Page, role: Role) -> str:
    return " ".join(text for row in page.rows for text, kind in row if kind is role)


@settings(max_examples=examples(150), deadline=None)
@given(ANY_VIEW, st.integers(1, 250), st.integers(1, 80))
def test_any_view_fills_any_size_and_never_spills(view: View, width: int, height: int) -> None:
    page = paint(view, width, height, LIVE)
    assert len(page.rows) <= height
    assert all(length(row) <= width for row in page.rows)
    if width >= 40 and height >= 12:
        assert len(page.rows) == height
        assert all(0 <= target.left < target.right <= width for target in page.targets)


@pytest.mark.parametrize("name", VIEWS)
def test_screens_are_as_kept(name: str) -> None:
    """Every view at every size, reviewed as pictures; `python -m tests.screen.pictures` writes them again."""
    for size in sizes_for(name):
        rows = [text_of(row) for row in paint(VIEWS[name], *size, LIVE).rows]
        assert trimmed(rows) == kept(name, size).read_text(encoding="utf-8"), size


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("view", [MARKING, BENDING, CHECKING, TROUBLED, METRIC, PAUSED])
def test_the_number_is_the_largest_thing_and_at_least_seven_rows(view: View, size: tuple[int, int]) -> None:
    page = paint(view, *size)
    rows = [row for row in page.rows if any(role is Role.NUMBER and text.strip() for text, role in row)]
    verb = [row for row in page.rows if any(role is Role.VERB and len(text) > 3 for text, role in row)]
    assert len(rows) >= 7
    assert len(rows) > len(verb)


@pytest.mark.parametrize("size", SIZES)
def test_verb_step_and_what_can_be_said_are_on_every_screen(size: tuple[int, int]) -> None:
    page = paint(MARKING, *size)
    assert any(lettering("MARK", rows)[0] in shown(page) for rows in range(3, 10)) or " MARK " in shown(page)
    assert any(lettering("2 of 3", rows)[0] in shown(page) for rows in range(3, 6)) or "2 of 3" in shown(page)
    assert "SAY" in shown(page)
    assert "next · back · repeat" in shown(page)


@pytest.mark.parametrize("size", [(40, 12), *SIZES])
def test_paused_is_told_by_a_word_and_by_a_shape(size: tuple[int, int]) -> None:
    page = paint(PAUSED, *size)
    large = any(lettering("PAUSED", rows)[0] in shown(page) for rows in range(3, 10))
    assert large or " PAUSED " in shown(page)
    assert text_of(page.rows[0]) == text_of(page.rows[-1]) == "▚" * size[0]
    assert all(text_of(row).startswith("▚▚") and text_of(row).endswith("▚▚") for row in page.rows)
    going = paint(replace(PAUSED, paused=False), *size)
    assert "▚▚" not in shown(going)


@pytest.mark.parametrize("size", [(40, 12), *SIZES])
def test_trouble_and_caution_are_told_by_their_words(size: tuple[int, int]) -> None:
    assert "TROUBLE  The microphone is gone" in roles(paint(TROUBLED, *size), Role.ALARM)
    assert "CAUTION  Keep your foot" in roles(paint(BENDING, *size), Role.CAUTION)


def test_too_small_says_how_large_it_must_be_and_keeps_the_number() -> None:
    text = shown(paint(MARKING, 39, 11))
    assert "MARK 27 3/8" in text
    assert "40 by 12" in text.replace("\n", " ")
    assert "PAUSED" in shown(paint(PAUSED, 20, 5))


def test_more_choices_than_lines_are_put_side_by_side() -> None:
    sizes = ("1/2", "3/4", "1", "1 1/4", "1 1/2", "2")
    text = shown(paint(View("CHOOSE", "SIZE?", lines=sizes, say=("three quarter",)), 80, 24))
    assert all(size in text for size in sizes)


def test_notice_lesson_and_typed_line_take_the_place_of_what_can_be_said() -> None:
    assert "Press q again" in shown(paint(MARKING, 80, 24, Live(notice="Press q again")))
    assert "for BACK" in shown(paint(MARKING, 80, 24, Live(learning=Key.BACK)))
    assert "TYPE  27 3/8" in shown(paint(MARKING, 80, 24, Live(entry="27 3/8")))


def test_words_half_heard_are_told_apart_from_words_heard() -> None:
    assert "HEARING twenty seven" in shown(paint(MARKING, 80, 24, Live(hearing="twenty seven")))
    assert "HEARD “next”" in shown(paint(MARKING, 80, 24))


# The pipe


def test_marks_stand_at_their_places_to_half_a_cell() -> None:
    stick = Stick(120.0, MARKS, current=1)
    pipe = text_of(picture(stick, 120)[1])
    columns = [at for at, cell in enumerate(pipe) if cell == "┃"]
    across = ruler(stick, 118)
    assert len(columns) == 3
    for mark, column in zip(MARKS, columns, strict=True):
        assert (column - 1) / (across.columns - 1) * across.inches == pytest.approx(
            float(mark.at), abs=0.5 * across.inches / (across.columns - 1)
        )


def test_the_point_of_the_bender_is_under_the_mark_in_hand() -> None:
    for current in range(3):
        for hook in Hook:
            rows = picture(Stick(120.0, MARKS, current, Reference.STAR, hook), 100)
            columns = [at for at, cell in enumerate(text_of(rows[1])) if cell == "┃"]
            assert text_of(rows[-1]).index("▲") == columns[current]
            assert "STAR" in text_of(rows[-1])


def test_the_hook_points_the_way_it_faces() -> None:
    """Left is the end the tape hooks on."""

    def seat(hook: Hook) -> str:
        return text_of(picture(Stick(120.0, MARKS, 1, Reference.ARROW, hook), 100)[-1])

    assert seat(Hook.TAPE_END).index("HOOK") < seat(Hook.TAPE_END).index("◀") < seat(Hook.TAPE_END).index("▲")
    assert seat(Hook.AWAY).index("▲") < seat(Hook.AWAY).index("▶") < seat(Hook.AWAY).index("HOOK")
    assert "EITHER" in seat(Hook.EITHER)


def test_bent_marks_have_a_tick_and_the_one_in_hand_its_own_ground() -> None:
    rows = picture(Stick(120.0, MARKS, 0, bent=(1, 2)), 100)
    assert "2√" in text_of(rows[0])
    assert "3√" in text_of(rows[0])
    assert [text.strip() for text, role in rows[0] if role is Role.CURRENT] == ["1"]


def test_a_stick_longer_than_its_marks_is_drawn_broken_off() -> None:
    assert text_of(picture(Stick(120.0, MARKS), 100)[1]).endswith("╌╌")
    assert text_of(picture(Stick(36.0, MARKS), 100)[1]).rstrip().endswith("▌")


# The shoe


@pytest.mark.parametrize("angle", [10.0, 22.5, 24.5, 45.0, 52.0, 90.0])
def test_the_pointer_stands_between_the_right_marks_of_the_shoe(angle: float) -> None:
    degrees, line, pointer = (text_of(row) for row in scale(angle, SHOE, 100))
    here = line.index("█")
    ticks = [at for at, cell in enumerate(line) if cell in "┃█"]
    below = sum(1 for tick in ticks if tick < here)
    assert below == sum(1 for mark in SHOE if mark < angle)
    assert pointer.index("▲") == here
    assert "22½°" in degrees


# The meter


def test_the_meter_never_moves_its_frame() -> None:
    sounds = [Sound(-60, -60), Sound(-30, -50), Sound(0, -12.5, True), Sound(-200, -200), Sound(12, 3), None]
    assert {length(meter(sound, 50)) for sound in sounds} == {50}
    assert {text_of(meter(sound, 50)).index("▏") for sound in sounds} == {text_of(meter(None, 50)).index("▏")}


def test_the_meter_tells_level_floor_clipping_and_silence() -> None:
    def bar(sound: Sound) -> str:
        return text_of(meter(sound, 65))

    assert bar(Sound(-30, -50)).count("█") == 50 / 2 - 1  # -30 dBFS is the middle; one is the floor
    assert "-30 dB" in bar(Sound(-30, -50))
    assert "┊" in bar(Sound(-60, -20))
    assert "TOO LOUD" in bar(Sound(0, -50, True))
    assert "no sound arriving" in text_of(meter(None, 65))
    assert "TOO QUIET" in text_of(meter(Sound(-47.0, -50.0), 65, True))
    assert "TOO QUIET" not in text_of(meter(Sound(-47.0, -50.0), 65))
    assert "TOO QUIET" not in text_of(meter(Sound(-40.0, -50.0), 65, True))
    assert "TOO LOUD" in text_of(meter(Sound(-0.5, -50.0, True), 65, True))
