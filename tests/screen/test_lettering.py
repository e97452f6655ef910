"""Block letters: complete, as large as fits, told apart, made from the font they name."""

from __future__ import annotations

import importlib.util
import itertools
from fractions import Fraction
from pathlib import Path
from types import ModuleType

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import ImageFont

from bench.core.lengths import angle_text, feet_text, inches_text, metric_text
from bench.data.files import read_text, shared
from bench.data.glyphs import BLOCKS, face, plain, sizes
from bench.screen.legibility import number_rows
from bench.screen.lettering import capitals, fit, fraction_rows, has_fraction, inline, lettering
from tests.examples import examples

NUMBER = "0123456789'\"°./-,m"
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz?!"
SIXTEENTHS = st.integers(0, 20 * 12 * 16).map(lambda count: Fraction(count, 16))
"""Every length from nothing to twenty feet that a tape in sixteenths shows."""


def maker() -> ModuleType:
    spec = importlib.util.spec_from_file_location("make_glyphs", shared() / "glyphs" / "make_glyphs.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def dots(drawing: tuple[str, ...]) -> int:
    """Inked dots of a drawing."""
    return sum(BLOCKS.index(cell).bit_count() for row in drawing for cell in row if cell in BLOCKS)


@pytest.mark.parametrize("rows", sizes())
def test_every_size_has_what_a_number_needs(rows: int) -> None:
    assert face(rows).covers(NUMBER)


def test_words_can_be_set_up_to_a_wall_display() -> None:
    assert all(face(rows).covers(LETTERS) for rows in sizes() if rows <= 24)


@pytest.mark.parametrize("rows", sizes())
def test_figures_are_as_high_as_the_size_says(rows: int) -> None:
    for figure in "0123456789":
        drawing = face(rows).glyphs[figure]
        assert len(drawing) == rows
        assert drawing[0].strip()
        assert drawing[-1].strip()


@pytest.mark.parametrize("rows", [size for size in sizes() if size >= 5])
def test_figures_have_the_proportions_of_the_standard(rows: int) -> None:
    """ISO 9241-3: width to height within 0.5 to 1; a cell is half as wide as high. The 1 is narrower."""
    for figure in "023456789":
        assert 0.5 <= len(face(rows).glyphs[figure][0]) / (2 * rows) <= 1.0


@pytest.mark.parametrize("rows", sizes())
def test_no_two_figures_are_alike(rows: int) -> None:
    """At least a twentieth of the dots of a figure's box differ, even between 3 and 8 at three rows."""
    for one, other in itertools.combinations("0123456789", 2):
        pair = [face(rows).glyphs[figure] for figure in (one, other)]
        width = max(len(drawing[0]) for drawing in pair)
        first, second = ("".join(row.ljust(width) for row in drawing) for drawing in pair)
        pairs = zip(first, second, strict=True)
        differing = sum((BLOCKS.index(cell) ^ BLOCKS.index(facing)).bit_count() for cell, facing in pairs)
        assert differing >= 0.05 * 4 * rows * width, (one, other)


@pytest.mark.parametrize("rows", [3, 9, 24, 48])
def test_files_are_what_the_maker_draws_from_the_font(rows: int) -> None:
    """The drawings come from Atkinson Hyperlegible Bold as packaged on PyPI, and from nothing else."""
    make = maker()
    font = ImageFont.truetype(make.FONT, make.EM)
    words = make.WORDS.replace("m", "") if rows in make.SMALL else ""
    assert make.page(rows, make.NUMBER + words, font) == read_text(f"glyphs/{rows:02}.txt")


def test_the_font_license_travels_with_the_drawings() -> None:
    text = read_text("glyphs/OFL.txt")
    assert "Braille Institute of America" in text
    assert "SIL OPEN FONT LICENSE Version 1.1" in text
    assert Path(shared() / "glyphs").is_dir()


@settings(max_examples=examples(60), deadline=None)
@given(SIXTEENTHS)
def test_no_length_is_smaller_than_seven_rows_at_80_by_24(length: Fraction) -> None:
    for text in (inches_text(length), feet_text(length), metric_text(length)):
        assert number_rows(80, 24, text) >= 7, text


@pytest.mark.parametrize("degrees", [5.0, 10.0, 22.5, 30.0, 45.0, 60.0, 90.0, 92.5, 24.6])
def test_no_angle_is_smaller_than_seven_rows_at_80_by_24(degrees: float) -> None:
    assert number_rows(80, 24, angle_text(degrees)) >= 7


@settings(max_examples=examples(60), deadline=None)
@given(SIXTEENTHS, st.integers(40, 250), st.integers(12, 80))
def test_a_larger_terminal_never_shows_a_smaller_number(length: Fraction, width: int, height: int) -> None:
    text = inches_text(length)
    assert number_rows(width + 20, height, text) >= number_rows(width, height, text)


@settings(max_examples=examples(60), deadline=None)
@given(SIXTEENTHS, st.integers(10, 250), st.integers(3, 70))
def test_what_fits_fits(length: Fraction, width: int, height: int) -> None:
    text = inches_text(length)
    rows = fit(text, width, height)
    if rows:
        drawing = lettering(text, rows)
        assert len(drawing) <= height
        assert {len(line) for line in drawing} == {len(drawing[0])}
        assert len(drawing[0]) <= width
        assert set("".join(drawing)) <= set(BLOCKS + "━")


def test_a_fraction_is_stacked_on_its_bar() -> None:
    """Numerator over a line over denominator, each the very figures of the smaller size."""
    size = fraction_rows(9)
    drawing = lettering("3/8", 9)
    middle = len(drawing) // 2
    assert set(drawing[middle].strip()) == {"━"}
    assert [line.strip() for line in drawing[:size]] == [line.strip() for line in lettering("3", size)]
    assert [line.strip() for line in drawing[-size:]] == [line.strip() for line in lettering("8", size)]


def test_a_half_is_drawn_the_same_however_it_is_written() -> None:
    assert lettering("22½°", 11) == lettering("22 1/2°", 11)
    assert has_fraction("22½°")
    assert not has_fraction("30°")
    assert inline("22½°") == "22 1⁄2°"


@pytest.mark.parametrize("rows", [size for size in sizes() if size >= 7])
def test_fraction_figures_are_at_least_two_fifths_of_the_whole_ones(rows: int) -> None:
    assert fraction_rows(rows) >= 0.4 * rows


def test_larger_letters_have_more_ink() -> None:
    inked = [dots(lettering("8", rows)) for rows in sizes()]
    assert inked == sorted(inked)


def test_words_are_capitals_and_units_are_not() -> None:
    assert capitals("to center") == "TO CENTER"
    assert capitals("635 mm") == "635 mm"


def test_plain_characters_are_latin_one() -> None:
    drawing = "\n".join(lettering('27 3/8"', 12)) + "━─│┃┊▼▲◀▶√—–…“”▏▕╌½°·"
    assert plain(drawing).encode("latin-1")
    assert "#" in plain(drawing)
    assert "?" not in plain(drawing)
