"""The tap targets at the bottom of the screen, large enough for gloves if the screen is high enough."""

from __future__ import annotations

from itertools import pairwise

from bench.data.screen_words import screen_words
from bench.dialogue.effects import View
from bench.dialogue.events import Key
from bench.screen.lettering import fit, lettering
from bench.screen.rows import Row
from bench.screen.targets import Act, Own, Target
from bench.screen.themes import Role


def acts_for(view: View) -> tuple[Act, ...]:
    """The actions that can be tapped: yes and no for such a question, else next; always the menu."""
    if view.paused:
        return (Key.PAUSE,)
    if "yes" in view.say and "no" in view.say:
        return Key.BACK, Key.REPEAT, Own.MENU, Key.NO, Key.YES
    return Key.BACK, Key.REPEAT, Own.MENU, Key.NEXT


def bars(acts: tuple[Act, ...], width: int, height: int, top: int) -> tuple[list[Row], tuple[Target, ...]]:
    """Bars `height` rows high, side by side and one cell apart, and their targets. The last bar is the widest."""
    if not height:
        return [], ()
    targets = tuple(
        Target(left, right, top, top + height, act)
        for act, (left, right) in zip(acts, _columns(len(acts), width), strict=True)
    )
    words = [(_word(target.act), target.right - target.left) for target in targets]
    size = min(_size(word, across, height) for word, across in words)
    faces = [_face(word, across, height, size) for word, across in words]
    rows: list[Row] = []
    for line in range(height):
        row: list[tuple[str, Role]] = []
        for face in faces:
            row += [(face[line], Role.BAR), (" ", Role.PAGE)]
        rows.append(tuple(row[:-1]))
    return rows, targets


def _word(act: Act) -> str:
    words = screen_words()
    on_bars: dict[Act, str] = {
        Key.BACK: words.back,
        Key.REPEAT: words.repeat,
        Key.NEXT: words.next,
        Key.NO: words.no,
        Key.YES: words.yes,
        Key.PAUSE: words.go_on,
        Own.MENU: words.menu,
        Own.CLOSE: words.close,
        Own.MORE: words.more,
    }
    return on_bars[act]


def _columns(count: int, width: int) -> list[tuple[int, int]]:
    edges = [round(width * share / (count + 0.5)) for share in range(count)] + [width + 1]
    return [(left, right - 1) for left, right in pairwise(edges)]


def _size(words: str, width: int, height: int) -> int:
    """Height in rows of the letters that fit a bar, 0 for plain text."""
    return fit(words.strip("◀▶ "), width - 4, height - 2, least=3) if height >= 5 else 0


def _face(words: str, width: int, height: int, size: int) -> list[str]:
    lines = list(lettering(words.strip("◀▶ "), size)) if size else [words]
    above = (height - len(lines)) // 2
    rows = [""] * above + lines + [""] * (height - above - len(lines))
    return [line[:width].center(width) for line in rows]
