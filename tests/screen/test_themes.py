"""Colors can be told apart by everyone: contrast by the formula of WCAG 2.2."""

from __future__ import annotations

import pytest

from bench.core.notes import BenchError
from bench.screen.themes import ThemeName, contrast, palette, palettes

AAA = 7.0
"""WCAG 2.2, success criterion 1.4.6, contrast (enhanced)."""


@pytest.mark.parametrize(
    ("ink", "paper", "ratio"),
    [
        ("#000000", "#ffffff", 21.0),  # WCAG 2.2, definition of contrast ratio: 1 to 21
        ("#ffffff", "#ffffff", 1.0),
        (
            "#767676",
            "#ffffff",
            4.54,
        ),  # WebAIM on contrast: 4.54 to 1 (from memory)
        ("#595959", "#ffffff", 7.0),  # the same source: 7 to 1 (from memory)
    ],
)
def test_contrast_is_that_of_the_guidelines(ink: str, paper: str, ratio: float) -> None:
    assert contrast(ink, paper) == pytest.approx(ratio, abs=0.01)
    assert contrast(paper, ink) == contrast(ink, paper)


@pytest.mark.parametrize("theme", ThemeName)
def test_every_role_can_be_read(theme: ThemeName) -> None:
    low = {role: contrast(*pair) for role, pair in palette(theme).pairs().items() if contrast(*pair) < AAA}
    assert low == {}


@pytest.mark.parametrize("theme", ThemeName)
def test_warnings_stand_out_from_the_page(theme: ThemeName) -> None:
    """Their ground is not the page's, so they are a shape too, and the two kinds differ."""
    colors = palette(theme)
    grounds = {colors.page[1], colors.alarm[1], colors.caution[1]}
    assert len(grounds) == 3


def test_sunlight_is_the_greatest_contrast_there_is() -> None:
    assert contrast(*palette("sunlight").number) == pytest.approx(21.0)
    assert contrast(*palette("sunlight").quiet) == pytest.approx(21.0)


def test_an_unknown_theme_is_told_with_those_there_are() -> None:
    with pytest.raises(BenchError) as told:
        palette("neon")
    assert "dark" in told.value.remedy.template
    assert set(palettes()) == {name.value for name in ThemeName}
