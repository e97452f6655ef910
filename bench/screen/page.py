"""Paints the screen as rows of text with roles: a pure function of view, size and live state."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass, replace

from bench.data.screen_words import screen_words
from bench.dialogue.effects import View
from bench.dialogue.events import Key
from bench.screen import pipe, shoe, tilt
from bench.screen.arrange import BETWEEN, Arranged, arrange, beside, pictured
from bench.screen.bars import acts_for, bars
from bench.screen.lettering import fit, lettering
from bench.screen.meter import Sound, meter
from bench.screen.rows import BLANK, Row, centered, cut, drawn, length, listed, spread, wrapped
from bench.screen.sharing import MARGIN, SMALLEST, Plan, letters, says_more, sentences_of
from bench.screen.targets import Act, Own, Target, least_rows
from bench.screen.themes import Role
from bench.screen.tiles import grid, tiles


@dataclass(frozen=True, slots=True)
class Live:
    """State that changes between views: sound, partial transcript, notice, line being typed, lesson, letter size, open
    page of the menu, page of tiles. `stale`: the transcript is no longer recent. `faint`: the speech has not yet
    risen above the noise."""

    sound: Sound | None = None
    hearing: str = ""
    notice: str = ""
    entry: str | None = None
    learning: Key | None = None
    letters: int = 0
    menu: int | None = None
    page: int = 0
    stale: bool = False
    faint: bool = False


@dataclass(frozen=True, slots=True)
class Page:
    """A painted screen: its rows, its tap targets, and the row with the meter and transcript, which changes most."""

    rows: tuple[Row, ...]
    targets: tuple[Target, ...] = ()
    ears: int = 0


def paint(view: View, width: int, height: int, live: Live = Live()) -> Page:
    """Paint the screen for a view at a size in cells."""
    if width < SMALLEST[0] or height < SMALLEST[1]:
        return _too_small(view, width, height)
    if live.menu is not None:
        return menu(view, width, height, live.menu, _ears(view, width - 2 * MARGIN, live))
    if view.paused:
        return _framed(_body(view, width - 6, height - 2, live), width, height)
    return _body(view, width, height, live)


def _body(view: View, width: int, height: int, live: Live) -> Page:
    inner = width - 2 * MARGIN
    warned = notices(view, inner, height)
    arranged = arrange(view, width, height, len(warned), live.letters, live.page)
    view, plotted = arranged.view, arranged.plan
    share = plotted.share
    parts = [_verb(view, plotted, inner), *_middle(arranged, inner), *_pictures(view, plotted, inner)]
    parts.append(
        [*_said(view, plotted, inner), *_say(view, share.say, inner, live), _ears(view, inner, live)]
    )
    air = max(0, height - share.bar - 1 - len(warned) - sum(map(len, parts)))
    rows = [_head(view, plotted, inner), *warned, *_aired(parts, air, bool(warned))]
    rows = [((" " * MARGIN, Role.PAGE), *row) for row in rows]
    tapped, targets = bars(acts_for(view), width, share.bar, height - share.bar)
    reach = height - least_rows(height)
    targets = tuple(replace(target, top=min(target.top, reach)) for target in targets)
    rows = [*rows[: height - share.bar], *tapped]
    return Page(tuple(rows), (*_tile_targets(rows, arranged, width), *targets), height - share.bar - 1)


def _tile_targets(rows: list[Row], arranged: Arranged, width: int) -> tuple[Target, ...]:
    """The targets of the tiles. Their first row is searched for, because the spacing above it is decided late."""
    if arranged.grid is None:
        return ()
    inner = width - 2 * MARGIN
    drawing, targets = tiles(arranged.tiles, arranged.grid, inner, 0, MARGIN, arranged.first, arranged.more)
    first = next((at for at, row in enumerate(rows) if row[1:] == drawing[0]), None)
    return () if first is None else tuple(target.moved(0, first) for target in targets)


def _middle(arranged: Arranged, width: int) -> list[list[Row]]:
    """Number, instruction and lines, with the drawings below or beside them."""
    plotted = arranged.plan
    across = width - arranged.width - BETWEEN if arranged.beside else width
    action = drawn(letters(plotted.action, plotted.action_size), Role.NUMBER, across)
    above = _number(plotted, across)
    both = [*above, *([BLANK] if above and action else []), *action]
    if arranged.view.action_first:
        both = [*action, *([BLANK] if above and action else []), *above]
    lines = _lines(plotted, across)
    if arranged.grid is not None:
        faces = tiles(arranged.tiles, arranged.grid, width, 0, 0, arranged.first, arranged.more)[0]
        return [both, lines, faces]
    if not arranged.height:
        return [both, lines]
    drawing = pictured(arranged.view.scenes, arranged.width, arranged.height)
    if not arranged.beside:
        return [both, lines, drawing]
    air = [BLANK] if lines and plotted.spare else []
    return [beside([*both, *air, *lines], drawing, across + BETWEEN), []]


def _aired(parts: list[list[Row]], air: int, after_notices: bool) -> list[Row]:
    """The parts stacked, with the blank rows distributed between them. The verb has its own blank row."""
    slots = [*([0] if after_notices else []), *(at for at in range(2, len(parts)) if parts[at]), 1]
    above = [0] * len(parts)
    for blank in range(air):
        above[slots[blank % len(slots)]] += 1
    rows: list[Row] = []
    for blanks, part in zip(above, parts, strict=True):
        rows += [BLANK] * blanks + part
    return rows


def _head(view: View, plotted: Plan, width: int) -> Row:
    """Title and step, and the verb if it has no space of its own."""
    chip = () if _verb_is_large(view, plotted) else ((f" {_verb_word(view)} ", Role.CHIP), (" ", Role.PAGE))
    step = _step(view.step) if view.step and not _large_step(view, plotted, width) else ""
    return spread((*chip, (view.title, Role.TEXT)), ((step, Role.TEXT),) if step else (), width)


def _verb_word(view: View) -> str:
    return screen_words().paused if view.paused else f"{view.verb} {view.which}".strip()


def _step(step: tuple[int, int]) -> str:
    return screen_words().step.format(this=step[0], total=step[1])


def _verb_is_large(view: View, plotted: Plan) -> bool:
    return not (view.number or view.paused) or bool(plotted.share.verb)


def _verb(view: View, plotted: Plan, width: int) -> list[Row]:
    """The verb in block letters at the left and, if both fit, the step at the right, with a blank row below."""
    left = _large_verb(view, plotted, width)
    right = _large_step(view, plotted, width)
    below = len(left) - len(right)
    rows = [
        spread(
            ((line, Role.VERB),),
            ((right[index - below], Role.QUIET),) if right and index >= below else (),
            width,
        )
        for index, line in enumerate(left)
    ]
    return [*rows, *[BLANK] * (plotted.share.verb + 1 - len(rows))] if rows else []


def _large_verb(view: View, plotted: Plan, width: int) -> tuple[str, ...]:
    """The verb's letters. A pause has two bars before the word."""
    if not plotted.share.verb or not (view.number or view.paused):
        return ()
    pause = "▐█▌ ▐█▌  " if view.paused else ""
    size = fit(_verb_word(view), width - len(pause), plotted.share.verb)
    return tuple(pause + line for line in lettering(_verb_word(view), size)) if size else (_verb_word(view),)


def _large_step(view: View, plotted: Plan, width: int) -> tuple[str, ...]:
    """The step's letters, if they fit beside the verb's."""
    verb = _large_verb(view, plotted, width)
    if view.step is None or len(verb) < 2:
        return ()
    step = lettering(_step(view.step), min(len(verb), 5))
    return step if len(verb[0]) + len(step[0]) + 4 <= width else ()


def _number(plotted: Plan, width: int) -> list[Row]:
    if plotted.size:
        return drawn(letters(plotted.number, plotted.size), Role.NUMBER, width)
    return drawn(plotted.number, Role.NUMBER, width)


def _lines(plotted: Plan, width: int) -> list[Row]:
    if plotted.line_size:
        return drawn(letters(plotted.lines, plotted.line_size), Role.TEXT, width)
    return [centered(cut(((line, Role.TEXT),), width), width) for line in plotted.lines]


def _pictures(view: View, plotted: Plan, width: int) -> list[list[Row]]:
    """The shoe's scale, the level and the pipe, as far as the view has them."""
    if not plotted.share.pictures:
        return []
    parts: list[list[Row]] = []
    if view.angle is not None and view.shoe_angles:
        parts.append(shoe.scale(view.angle, view.shoe_angles, width))
    if view.level is not None:
        parts.append(tilt.picture(view.level, width))
    if view.stick is not None:
        parts.append(pipe.picture(view.stick, width, pipe.ROWS + plotted.share.thick - 1))
    return parts


def notices(view: View, width: int, height: int) -> list[Row]:
    """Problems, then cautions, each in its own color with its keyword and never cut off. Shows as many as fit a third
    of the screen, and always the first."""
    rows: list[Row] = []
    for word, role, texts in (
        (screen_words().trouble, Role.ALARM, view.troubles),
        (screen_words().caution, Role.CAUTION, view.cautions),
    ):
        for text in texts:
            lines = wrapped(f"{word}  {text}", width - 2, height)
            if not rows or len(rows) + len(lines) <= height // 3:
                rows += [((f" {line.ljust(width - 2)} ", role),) for line in lines]
    return rows[: height // 2]


def _said(view: View, plotted: Plan, width: int) -> list[Row]:
    """As many whole sentences of the spoken text as fit."""
    most = plotted.share.said if says_more(view) else 0
    said = sentences_of(view.said)
    while said and len(textwrap.wrap(f"“{' '.join(said)}”", max(8, width))) > most:
        said.pop()
    lines = textwrap.wrap(f"“{' '.join(said)}”", max(8, width)) if said and most else []
    rows = [centered(((line, Role.QUIET),), width) for line in lines]
    return [*[BLANK] * (most - len(rows)), *rows]


def _say(view: View, most: int, width: int, live: Live) -> list[Row]:
    """The phrases that can be said, or instead a lesson, a line being typed, or a notice."""
    instead = _instead(live)
    if instead:
        return [cut(instead, width), *[BLANK] * ((most if view.say else 1) - 1)]
    if not view.say:
        return []
    words = screen_words()
    word = words.say_or_type if view.typed else words.say_or_tap if view.choices else words.say
    lines = listed(view.say, width - len(word), most)
    rows: list[Row] = [
        ((word if not at else " " * len(word), Role.CHIP if not at else Role.PAGE), (f" {line}", Role.TEXT))
        for at, line in enumerate(lines)
    ]
    return [*[BLANK] * (most - len(rows)), *rows]


def _instead(live: Live) -> Row:
    words = screen_words()
    if live.learning is not None:
        how = words.learn_key.format(key=live.learning.value.upper())
        return ((words.learn, Role.CHIP), (how, Role.TEXT))
    if live.entry is not None:
        return ((words.type, Role.CHIP), (f" {live.entry}█", Role.NUMBER), (words.type_how, Role.QUIET))
    return ((f" {live.notice} ", Role.CHIP),) if live.notice else ()


def _ears(view: View, width: int, live: Live) -> Row:
    """The level meter and the transcript. When paused, words say that speech is ignored."""
    sound = meter(live.sound, min(60, max(24, width * 45 // 100)), live.faint)
    room = width - length(sound) - 2
    if view.paused:
        words: Row = ((screen_words().not_listening, Role.CHIP),)
    elif live.hearing:
        words = ((screen_words().hearing, Role.QUIET), (f"{live.hearing} …", Role.TEXT))
    elif view.heard:
        words = (
            (screen_words().heard, Role.QUIET),
            (f"“{view.heard}”", Role.QUIET if live.stale else Role.TEXT),
        )
    else:
        words = ()
    return (*sound, ("  ", Role.PAGE), *cut(words, room)) if words else sound


def _framed(page: Page, width: int, height: int) -> Page:
    """The hatched border of a paused screen."""
    edge: Row = (("▚" * width, Role.FRAME),)
    side = ("▚▚", Role.FRAME)
    rows = [
        (
            side,
            (" ", Role.PAGE),
            *row,
            (" " * max(0, width - 6 - length(row)), Role.PAGE),
            (" ", Role.PAGE),
            side,
        )
        for row in page.rows
    ]
    targets = tuple(target.moved(3, 1) for target in page.targets)
    return Page((edge, *rows, edge), targets, page.ears + 1)


def menu(view: View, width: int, height: int, page: int, ears: Row) -> Page:
    """A page of the menu: everything that can be said, to be tapped or chosen by digit."""
    inner, bar = width - 2 * MARGIN, least_rows(height)
    room = height - bar - 3
    shown, more = _shown(view.phrases, page, inner, room, (width, height))
    laid = grid(shown, inner, room, (width, height)) if shown else None
    drawing, targets = tiles(shown, laid, inner, 2, MARGIN) if laid else ([], ())
    head: Row = ((screen_words().menu_head, Role.TEXT),)
    rows = [head, BLANK, *drawing]
    rows += [BLANK] * (height - bar - 1 - len(rows))
    acts: tuple[Act, ...] = (Own.CLOSE, Own.MORE) if more or page else (Own.CLOSE,)
    tapped, ways = bars(acts, width, bar, height - bar)
    rows = [((" " * MARGIN, Role.PAGE), *row) for row in (*rows, ears)]
    return Page((*rows, *tapped), (*targets, *ways), height - bar - 1)


def _shown(
    phrases: Sequence[str], page: int, width: int, rows: int, screen: tuple[int, int]
) -> tuple[tuple[str, ...], bool]:
    """The phrases of one page, and whether there are more. After the last page comes the first."""
    pages: list[tuple[str, ...]] = []
    left = list(phrases)
    while left:
        count = next((n for n in range(len(left), 0, -1) if grid(left[:n], width, rows, screen)), 0)
        if not count:
            return (), False
        pages.append(tuple(left[:count]))
        left = left[count:]
    return (pages[page % len(pages)], len(pages) > 1) if pages else ((), False)


def shown_in_menu(view: View, width: int, height: int, page: int) -> tuple[str, ...]:
    """The phrases on a page of the menu, in the order of their numbers."""
    room = height - least_rows(height) - 3
    return _shown(view.phrases, page, width - 2 * MARGIN, room, (width, height))[0]


def _too_small(view: View, width: int, height: int) -> Page:
    """The number in plain text, and the required size of the window."""
    texts = [
        f"{_verb_word(view)} {' '.join(view.action) if view.action_alone else view.number}".strip(),
        *wrapped(_ask_for_room(width, height), width, max(1, height - 1)),
    ]
    roles = [Role.NUMBER, *[Role.TEXT] * len(texts)]
    return Page(tuple(cut(((text, role),), width) for text, role in zip(texts, roles, strict=False))[:height])


def _ask_for_room(width: int, height: int) -> str:
    return screen_words().too_small.format(
        width=width, height=height, least_width=SMALLEST[0], least_height=SMALLEST[1]
    )
