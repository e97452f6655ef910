"""Colors by role, and contrast ratios by the Web Content Accessibility Guidelines."""

from __future__ import annotations

from dataclasses import dataclass, fields
from enum import StrEnum
from functools import cache

from bench.core.notes import BenchError
from bench.data.files import read_toml, structured

Pair = tuple[str, str]
"""Foreground and background, each `#rrggbb`."""


class ThemeName(StrEnum):
    """The palettes: for a dim room, a bright room, and sunlight."""

    DARK = "dark"
    LIGHT = "light"
    SUNLIGHT = "sunlight"


@dataclass(frozen=True, slots=True)
class Worn:
    """The look of the screen: the name of the theme, and `letters` as 1 for larger, -1 for smaller."""

    theme: str = ThemeName.DARK
    letters: int = 0


class Role(StrEnum):
    """The role of a span of text on the screen. `shared/themes.toml` describes each role."""

    PAGE = "page"
    NUMBER = "number"
    VERB = "verb"
    TEXT = "text"
    QUIET = "quiet"
    CHIP = "chip"
    ALARM = "alarm"
    CAUTION = "caution"
    BAR = "bar"
    PIPE = "pipe"
    MARK = "mark"
    CURRENT = "current"
    METER = "meter"
    FRAME = "frame"


BOLD = frozenset({Role.TEXT, Role.CHIP, Role.ALARM, Role.CAUTION, Role.BAR})
"""Roles shown in bold."""


@dataclass(frozen=True, slots=True)
class Palette:
    """Foreground and background of every role."""

    page: Pair
    number: Pair
    verb: Pair
    text: Pair
    quiet: Pair
    chip: Pair
    alarm: Pair
    caution: Pair
    bar: Pair
    pipe: Pair
    mark: Pair
    current: Pair
    meter: Pair
    frame: Pair

    def __getitem__(self, role: Role) -> Pair:
        """Foreground and background of one role."""
        pair: Pair = getattr(self, role.value)
        return pair

    def pairs(self) -> dict[str, Pair]:
        """Every role by name."""
        return {field.name: getattr(self, field.name) for field in fields(self)}


@cache
def palettes() -> dict[str, Palette]:
    """Every palette by name. Raises BenchError when the file is missing or damaged."""
    return structured("themes.toml", dict[str, Palette], read_toml("themes.toml"))


def palette(name: str) -> Palette:
    """One palette. Raises BenchError listing the available ones."""
    known = palettes()
    if name not in known:
        raise BenchError(f"There is no theme {name}.", f"Themes: {', '.join(known)}.", code="no_theme")
    return known[name]


def contrast(ink: str, paper: str) -> float:
    """Contrast ratio of two colors, 1 to 21 (WCAG 2.2, "contrast ratio" and "relative luminance")."""
    lighter, darker = sorted((_luminance(ink), _luminance(paper)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def _luminance(color: str) -> float:
    red, green, blue = (_linear(int(color[at : at + 2], 16) / 255) for at in (1, 3, 5))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _linear(channel: float) -> float:
    return channel / 12.92 if channel <= 0.04045 else ((channel + 0.055) / 1.055) ** 2.4
