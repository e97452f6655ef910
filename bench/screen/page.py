"""One screenful as rows of text with roles: a pure function of the view, the size, and what is live."""

from __future__ import annotations

from dataclasses import dataclass

from bench.dialogue.effects import View
from bench.dialogue.events import Key
from bench.screen import pipe, shoe, tilt
from bench.screen.bars import Target, bars, keys_for
from bench.screen.lettering import fit, lettering
from bench.screen.meter import Sound, meter
from bench.screen.rows import BLANK, Row, centred, cut, drawn, length, spread, wrapped
from bench.screen.sharing import MARGIN, SMALLEST, Plan, letters, plan
from bench.screen.themes import Role

_PAUSED = "PAUSED"


@dataclass(frozen=True, slots=True)
class Live:
    """What changes between two views: sound, words being heard, a notice, a line being typed, a lesson."""

    sound: Sound | None = None
    hearing: str = ""
    notice: str = ""
    entry: str | None = None
    learning: Key | None = None


@dataclass(frozen=True, slots=True)
class Page:
    """A painted screen: its rows, where it can be tapped, and which row holds the ears (it changes most)."""

    rows: tuple[Row, ...]
    targets: tuple[Target, ...] = ()
    ears: int = 0


def paint(view: View, width: int, height: int, live: Live = Live()) -> Page:  # noqa: B008
    """The screen for a view at a size in cells."""
    if width < SMALLEST[0] or height < SMALLEST[1]:
        return _too_small(view, width, height)
    if view.paused:
        return _framed(_body(view, width - 6, height - 2, live), width, height)
    return _body(view, width, height, live)


def _body(view: View, width: int, height: int, live: Live) -> Page:
    inner = width - 2 * MARGIN
    notices = _notices(view, inner, height)
    plotted = plan(view, width, height, len(notices))
    share, spare = plotted.share, plotted.spare
    gaps = share.gaps
    foot = [*_said(view, plotted, inner), *_say(view, share.say, inner, live), _ears(view, inner, live)]
    pictures = _pictures(view, plotted, inner)
    lines = _lines(view, plotted, inner)
    top = [_head(view, plotted, inner), *notices, *_verb(view, plotted, inner)]
    number = _number(plotted, inner)
    air = spare + gaps
    parts = [part for part in (number, lines, pictures) if part]
    rows = top
    for index, part in enumerate(parts):
        above = air // (len(parts) + 1 - index)
        air -= above
        rows = rows + [BLANK] * above + part
    rows = rows + [BLANK] * air + foot
    rows = [((" " * MARGIN, Role.PAGE), *row) for row in rows]
    tapped, targets = bars(keys_for(view), width, share.bar, height - share.bar)
    rows = [*rows[: height - share.bar], *tapped]
    return Page(tuple(rows), targets, height - share.bar - 1)


def _head(view: View, plotted: Plan, width: int) -> Row:
    """Title and step; the verb too, where it has no room of its own."""
    chip = () if _verb_is_large(view, plotted) else ((f" {_verb_word(view)} ", Role.CHIP), (" ", Role.PAGE))
    step = f"{view.step[0]} of {view.step[1]}" if view.step else ""
    return spread((*chip, (view.title, Role.TEXT)), ((step, Role.TEXT),) if step else (), width)


def _verb_word(view: View) -> str:
    return _PAUSED if view.paused else view.verb


def _verb_is_large(view: View, plotted: Plan) -> bool:
    return not (view.number or view.paused) or bool(plotted.share.verb)


def _verb(view: View, plotted: Plan, width: int) -> list[Row]:
    """The verb in block letters at the left, the step at the right where both fit."""
    if not (view.number or view.paused) or not plotted.share.verb:
        return []
    bars_of_pause = "▐█▌ ▐█▌ " if view.paused else ""
    size = fit(_verb_word(view), width - len(bars_of_pause), plotted.share.verb)
    words = lettering(_verb_word(view), size) if size else (_verb_word(view),)
    left = [bars_of_pause + line for line in words]
    step = lettering(f"{view.step[0]} of {view.step[1]}", min(size, 5)) if view.step and size else ()
    if not step or len(left[0]) + len(step[0]) + 4 > width:
        step = ()
    below = len(left) - len(step)
    rows: list[Row] = []
    for index, line in enumerate(left):
        right = step[index - below] if step and index >= below else ""
        rows.append(spread(((line, Role.VERB),), ((right, Role.QUIET),) if right else (), width))
    return [*rows, *[BLANK] * (plotted.share.verb + 1 - len(rows))]


def _number(plotted: Plan, width: int) -> list[Row]:
    if plotted.size:
        return drawn(letters(plotted.number, plotted.size), Role.NUMBER, width)
    return drawn(plotted.number, Role.NUMBER, width)


def _lines(view: View, plotted: Plan, width: int) -> list[Row]:
    share = plotted.share
    if plotted.large:
        return drawn(letters(plotted.large, share.line_size), Role.TEXT, width)
    return [centred(cut(((line, Role.TEXT),), width), width) for line in view.lines[: share.lines]]


def _pictures(view: View, plotted: Plan, width: int) -> list[Row]:
    if not plotted.share.pictures:
        return []
    rows: list[Row] = []
    if view.angle is not None and view.shoe_angles:
        rows += shoe.scale(view.angle, view.shoe_angles, width)
    if view.level is not None:
        rows += tilt.picture(view.level, width)
    if view.stick is not None:
        rows += pipe.picture(view.stick, width, pipe.ROWS + plotted.share.thick - 1)
    return rows


def _notices(view: View, width: int, height: int) -> list[Row]:
    """Troubles, then cautions, each on its own ground with its word, as many as a quarter of the screen holds."""
    most = max(1, height // 6)
    rows: list[Row] = []
    for word, role, texts in (("! TROUBLE", Role.ALARM, view.troubles), ("! CAUTION", Role.CAUTION, view.cautions)):
        for text in texts:
            for line in wrapped(f"{word}  {text}", width - 2, 2):
                rows.append(((f" {line.ljust(width - 2)} ", role),))
    return rows[:most]


def _said(view: View, plotted: Plan, width: int) -> list[Row]:
    most = plotted.share.said if view.said else 0
    lines = wrapped(f"“{view.said}”", width, most) if most else []
    rows = [centred(((line, Role.QUIET),), width) for line in lines]
    return [*[BLANK] * (most - len(rows)), *rows]


def _say(view: View, most: int, width: int, live: Live) -> list[Row]:
    """What can be said; in its place a lesson, a line being typed, or a notice."""
    instead = _instead(live)
    if instead:
        return [cut(instead, width), *[BLANK] * ((most if view.say else 1) - 1)]
    if not view.say:
        return []
    lines = wrapped(" · ".join(view.say), width - 5, most)
    rows: list[Row] = [((" SAY " if not at else "     ", Role.CHIP if not at else Role.PAGE), (f" {line}", Role.TEXT)) for at, line in enumerate(lines)]
    return [*[BLANK] * (most - len(rows)), *rows]


def _instead(live: Live) -> Row:
    if live.learning is not None:
        word = live.learning.value.upper()
        return ((" LEARN ", Role.CHIP), (f" Press the pedal or button for {word}. Esc leaves it as it is.", Role.TEXT))
    if live.entry is not None:
        return ((" TYPE ", Role.CHIP), (f" {live.entry}█", Role.NUMBER), ("  Enter says it, Esc drops it", Role.QUIET))
    return ((f" {live.notice} ", Role.CHIP),) if live.notice else ()


def _ears(view: View, width: int, live: Live) -> Row:
    """The level meter, and what is or was heard. Paused: said in words that nothing is acted on."""
    sound = meter(live.sound, min(60, max(24, width * 45 // 100)))
    room = width - length(sound) - 2
    if view.paused:
        words: Row = ((" NOT LISTENING ", Role.CHIP),)
    elif live.hearing:
        words = (("HEARING ", Role.QUIET), (f"{live.hearing} …", Role.TEXT))
    elif view.heard:
        words = (("HEARD ", Role.QUIET), (f"“{view.heard}”", Role.TEXT))
    else:
        words = ()
    return (*sound, ("  ", Role.PAGE), *cut(words, room)) if words else sound


def _framed(page: Page, width: int, height: int) -> Page:
    """The hatched border of a paused screen."""
    edge: Row = (("▚" * width, Role.FRAME),)
    side = ("▚▚", Role.FRAME)
    rows = [
        (side, (" ", Role.PAGE), *row, (" " * max(0, width - 6 - length(row)), Role.PAGE), (" ", Role.PAGE), side)
        for row in page.rows
    ]
    targets = tuple(Target(t.left + 3, t.right + 3, t.top + 1, t.bottom + 1, t.key) for t in page.targets)
    return Page((edge, *rows, edge), targets, page.ears + 1)


def _too_small(view: View, width: int, height: int) -> Page:
    """The number in plain text, and how large the window has to be."""
    verb = _PAUSED if view.paused else view.verb
    texts = [f"{verb} {view.number}".strip(), *wrapped(_ask_for_room(width, height), width, max(1, height - 1))]
    roles = [Role.NUMBER, *[Role.TEXT] * len(texts)]
    return Page(tuple(cut(((text, role),), width) for text, role in zip(texts, roles, strict=False))[:height])


def _ask_for_room(width: int, height: int) -> str:
    return f"Too small: {width} by {height}. Make the window at least {SMALLEST[0]} by {SMALLEST[1]}, or its letters smaller."
