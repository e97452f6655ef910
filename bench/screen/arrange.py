"""Places the drawings of a step beside or under its words, or omits them where they would make the words small."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache

from bench.data.screen_words import screen_words
from bench.dialogue.effects import View
from bench.pictures.scene import Scene
from bench.screen.raster import raster
from bench.screen.rows import BLANK, Row, centered, length
from bench.screen.sharing import MARGIN, Plan, plan
from bench.screen.targets import least_rows
from bench.screen.themes import Role
from bench.screen.tiles import Grid, grid, pages

_LEAST_ROWS, _LEAST_COLUMNS = 7, 34
"""Cells below which a drawing is useless."""
_NUMBER_KEEPS = 0.75
"""Fraction to which the number may shrink for a drawing, if it stays legible across a room."""
_LEAST_NUMBER, _LEAST_WORD = 7, 3
_LEAST_MM, _LAPTOP_MM, _PHONE_MM = 13.96, 174.3, 140.0
_UPRIGHT = 1.5
"""Ratio of columns to rows below which a screen is upright."""
BETWEEN = 2
"""Columns between words and drawing, and between two drawings."""


@dataclass(frozen=True, slots=True)
class Arranged:
    """The view to paint, its plan, and the cells of its drawings, under the words or `beside` them. For a choice also
    the grid of tiles and their words, numbered from `first`. The last tile is `more` if there are more pages."""

    view: View
    plan: Plan
    width: int = 0
    height: int = 0
    beside: bool = False
    grid: Grid | None = None
    tiles: tuple[str, ...] = ()
    first: int = 1
    more: bool = False


@lru_cache(maxsize=32)
def arrange(
    view: View, width: int, height: int, notices: int = 0, letters: int = 0, page: int = 0
) -> Arranged:
    """The fullest arrangement of a view. `notices` counts rows of warnings above it, `page` is the page of tiles."""
    base = plan(view, width, height, notices, letters)
    if view.choices and not view.paused:
        whole = _with_tiles(view, base, width, height, notices)
        if whole.grid is not None and whole.grid.size >= _legible(width, height):
            return whole
        least = _legible(width, height)
        paged = _on_pages(view, base, width, height, notices, page, least)
        if paged is None and whole.grid is None:
            paged = _on_pages(view, base, width, height, notices, page, 0)
        return paged or whole
    if not view.scenes or view.paused or letters > 0:
        return Arranged(view, base)
    if view.stick is not None and view.stick.current is not None and not view.stick.bent and not view.angle:
        straight = [
            option
            for option in (
                *_under(view, base, width, height, notices),
                *_beside(view, base, width, height, notices),
            )
            if option.plan.share.pictures
        ]
        if straight:
            return max(straight, key=_worth)
    bare = replace(view, stick=None)
    options = [*_beside(bare, base, width, height, notices), *_under(bare, base, width, height, notices)]
    if not options and view.level is not None:
        bare = replace(bare, level=None)
        options = [*_beside(bare, base, width, height, notices), *_under(bare, base, width, height, notices)]
    return max(options, key=_worth, default=Arranged(view, base))


def _with_tiles(view: View, base: Plan, width: int, height: int, notices: int) -> Arranged:
    """The tiles with the largest letters that leave the number legible."""
    bare, best = replace(view, stick=None), Arranged(view, base)
    for number in (base.size, _LEAST_NUMBER, _LEAST_WORD):
        for rows in range(least_rows(height), height - 3):
            tried = plan(bare, width, height, notices + rows + 1)
            if tried.size < min(number, base.size) or not tried.share.bar:
                break
            laid = grid(view.choices, width - 2 * MARGIN, rows, (width, height))
            if laid is not None and (best.grid is None or _before(best.grid) < _before(laid)):
                best = Arranged(bare, tried, grid=laid, tiles=view.choices)
        if best.grid is not None and best.grid.size >= _legible(width, height) and best.grid.gap:
            break
    return best


def _on_pages(
    view: View, base: Plan, width: int, height: int, notices: int, page: int, least: int
) -> Arranged | None:
    """A page of tiles in letters of at least `least` rows, using as few pages as possible."""
    bare, inner = replace(view, stick=None), width - 2 * MARGIN
    more = screen_words().more.rstrip("▶ ")
    plans = [
        (rows, plan(bare, width, height, notices + rows + 1))
        for rows in range(height - 4, least_rows(height) - 1, -1)
    ]
    best: tuple[int, Plan, int, tuple[tuple[str, ...], ...]] | None = None
    for number, say in ((_LEAST_NUMBER, 1), (_LEAST_WORD, 1), (_LEAST_WORD, 0)):
        rows, tried = next((each for each in plans if _leaves(each[1], base, number, say)), (0, base))
        dealt = pages(view.choices, more, inner, rows, (width, height), least)
        if dealt and (best is None or len(dealt) < best[0]):
            best = len(dealt), tried, rows, dealt
    if best is None:
        return None
    _, tried, rows, dealt = best
    shown = dealt[page % len(dealt)]
    first = 1 + sum(len(before) - 1 for before in dealt[: page % len(dealt)])
    laid = grid(shown, inner, rows, (width, height))
    return Arranged(bare, tried, grid=laid, tiles=shown, first=first, more=True)


def _leaves(tried: Plan, base: Plan, number: int, say: int) -> bool:
    """Whether a plan leaves enough rows for the number, the bar and the phrases."""
    return (
        tried.size >= min(number, base.size)
        and bool(tried.share.bar)
        and tried.share.say >= min(say, base.share.say)
    )


def _before(laid: Grid) -> tuple[int, int]:
    return laid.size, laid.gap


def _worth(option: Arranged) -> float:
    """Scale of the first drawing, in cells per inch."""
    left, low, right, high = option.view.scenes[0].box
    return min(option.width / max(right - left, 1e-6), 2 * option.height / max(high - low, 1e-6))


def _under(view: View, base: Plan, width: int, height: int, notices: int) -> Iterator[Arranged]:
    """Arrangements with drawings under the words, with as many rows as leave the words their size."""
    for rows in range(height // 2, _LEAST_ROWS - 1, -1):
        tried = plan(view, width, height, notices + rows + 1)
        if _keeps(tried, base, width, height):
            yield Arranged(view, tried, width - 2 * MARGIN, rows + tried.spare // 2)
            return


def _beside(view: View, base: Plan, width: int, height: int, notices: int) -> Iterator[Arranged]:
    """Arrangements with drawings beside the words, over the full height of the middle."""
    for share in (0.6, 0.5, 0.42, 0.34):
        columns = int((width - 2 * MARGIN) * share)
        if columns < _LEAST_COLUMNS:
            return
        tried = plan(view, width - columns - BETWEEN, height, notices)
        rows = middle_rows(tried)
        if rows >= _LEAST_ROWS and _keeps(tried, base, width, height):
            yield Arranged(view, tried, columns, rows, beside=True)
            return


def middle_rows(planned: Plan) -> int:
    """Rows of the number, the instruction and the lines, including their spacing."""
    return planned.rows + planned.spare


def _keeps(tried: Plan, base: Plan, width: int, height: int) -> bool:
    """Whether the words keep their required size and are not all plain text."""
    if not tried.size and not tried.action_size:
        return False
    action = min(base.action_size, _legible(width, height))
    number = min(base.size, max(_LEAST_NUMBER, round(base.size * _NUMBER_KEEPS)))
    lines = min(base.line_size, 3)
    if tried.share.bar < min(base.share.bar, 1) or tried.share.say < min(base.share.say, 1):
        return False
    return tried.action_size >= action and tried.size >= number and tried.line_size >= lines


def _legible(width: int, height: int) -> int:
    """Least height of an instruction's capitals in rows: three, and 16 minutes of arc (ISO 9241-303) at three meters on
    a 14-inch laptop (174 mm high) filled by the terminal, or at one meter on an upright phone (140 mm high)."""
    if width < _UPRIGHT * height:
        return max(3, math.ceil(_LEAST_MM / 3 * height / _PHONE_MM))
    return max(3, math.ceil(_LEAST_MM * height / _LAPTOP_MM))


def pictured(scenes: tuple[Scene, ...], width: int, height: int) -> list[Row]:
    """The drawings in exactly `height` rows. Two are shown, side by side or stacked, if both are large enough."""
    if len(scenes) > 1 and width >= 3 * _LEAST_COLUMNS:
        first = (width - BETWEEN) * 3 // 5
        left, right = _titled(scenes[0], first, height), _titled(scenes[1], width - first - BETWEEN, height)
        return [joined(one, other, first + BETWEEN) for one, other in zip(left, right, strict=True)]
    if len(scenes) > 1 and height >= 3 * _LEAST_ROWS + 2:
        first = height * 3 // 5
        return [*_titled(scenes[0], width, first), *_titled(scenes[1], width, height - first)]
    return _titled(scenes[0], width, height)


def _titled(scene: Scene, width: int, height: int) -> list[Row]:
    """A drawing with its name above it, if it has one."""
    if not scene.name:
        return list(raster(scene, width, height))
    return [centered(((scene.name, Role.TEXT),), width), *raster(scene, width, height - 1)]


def joined(left: Row, right: Row, column: int) -> Row:
    """Two rows joined into one, the second starting at `column`."""
    return (*left, (" " * max(0, column - length(left)), Role.PAGE), *right)


def beside(words: list[Row], drawing: list[Row], column: int) -> list[Row]:
    """Words to the left of a drawing, vertically centered."""
    missing = max(0, len(drawing) - len(words))
    padded = [*[BLANK] * (missing // 2), *words, *[BLANK] * (missing - missing // 2)]
    drawn = [*drawing, *[BLANK] * (len(padded) - len(drawing))]
    return [joined(one, other, column) for one, other in zip(padded, drawn, strict=True)]
