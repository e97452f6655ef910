"""Divides the rows of the screen: the number first, then the rest by importance."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import lru_cache

from bench.data.glyphs import sizes
from bench.dialogue.effects import View
from bench.screen import pipe, shoe, tilt
from bench.screen.lettering import Drawing, capitals, extent, fit, inline, lettering

_SENTENCE = re.compile(r"\S.*?[.?!](?=\s|$)|\S.*?$")
_WORD = re.compile(r"""(?:-?\d+'\ )?(?:-?\d+\ )?\d+[/⁄]\d+\S*|-?\d+'\ \d+\S*|-?\d+\ mm\S*|\S+""")

SMALLEST = (40, 12)
"""Smallest columns and rows. Below them only a message is shown."""

MARGIN = 1

SMALLEST_LETTERS, LARGEST_LETTERS = -1, 1

_LEAST_LETTERS = 3
_ACTION = 7
"""An instruction gets more space until its letters reach this fraction of the screen's height."""
_LEAST_WORD = 7


@dataclass(frozen=True, slots=True)
class Share:
    """One way to divide the rows. Sizes are capital heights in rows, 0 for plain text.

    It is used if the number still gets `least` rows, or all that the width allows.
    """

    least: int
    verb: int = 0
    lines: int = 1
    line_size: int = 0
    said: int = 0
    pictures: bool = True
    thick: int = 1
    say: int = 1
    bar: int = 1
    gaps: int = 0


SHARES = (
    Share(least=30, verb=9, lines=4, line_size=5, said=2, thick=3, say=2, bar=7, gaps=5),
    Share(least=22, verb=7, lines=4, line_size=4, said=2, thick=2, say=2, bar=5, gaps=5),
    Share(least=16, verb=5, lines=4, line_size=3, said=2, thick=1, say=2, bar=3, gaps=4),
    Share(least=14, verb=5, lines=3, said=2, say=2, bar=3, gaps=4),
    Share(least=11, verb=4, lines=3, said=1, bar=3, gaps=3),
    Share(least=9, verb=3, lines=2, said=1, bar=1, gaps=2),
    Share(least=9, verb=3, lines=2, said=1, bar=1, gaps=1),
    Share(least=7, verb=3, lines=2, said=1, bar=1),
    Share(least=7, lines=2, said=1),
    Share(least=7, lines=1, said=1),
    Share(least=7, lines=1),
    Share(least=7, lines=1, pictures=False),
    Share(least=5, lines=1, pictures=False),
    Share(least=3, lines=1, pictures=False),
    Share(least=3, lines=1, pictures=False, say=0),
    Share(least=3, lines=0, pictures=False, say=0),
    Share(least=0, lines=1, pictures=False),
)
"""Richest first."""


def shares(letters: int) -> tuple[Share, ...]:
    """The ways to divide the rows. Larger letters omit extras, smaller ones keep more."""
    if letters > 0:
        return tuple(replace(share, pictures=False, said=0, say=min(1, share.say)) for share in SHARES)
    if letters < 0:
        return tuple(replace(share, least=share.least // 2) for share in SHARES)
    return SHARES


@dataclass(frozen=True, slots=True)
class Plan:
    """The chosen share, the number and the lines with their sizes, and the remaining rows."""

    share: Share
    number: tuple[str, ...]
    size: int
    lines: tuple[str, ...]
    line_size: int
    spare: int
    action: tuple[str, ...] = ()
    action_size: int = 0

    @property
    def rows(self) -> int:
        """Rows used by the number, the instruction and the lines."""
        number = lettered_rows(self.number, self.size) if self.number else 0
        between = 1 if self.number and self.action else 0
        return number + between + lettered_rows(self.action, self.action_size) + self._line_rows

    @property
    def _line_rows(self) -> int:
        return lettered_rows(self.lines, self.line_size)


def plan(view: View, width: int, height: int, notices: int = 0, letters: int = 0) -> Plan:
    """The fullest share that leaves the number its size. `notices` counts rows of warnings above it. An instruction
    that does not fit in block letters is set completely in plain lines, at the cost of the number."""
    inner, needed = width - 2 * MARGIN, 0
    if view.action and not view.paused:
        planned = _with_action(view, inner, height, height - notices, letters)
        if planned is not None:
            return planned
        view, needed = replace(view, lines=(*view.action, *view.lines)), len(view.action)
    text = capitals(view.number or view.verb)
    options = split(text)

    def largest(rows: int) -> tuple[int, tuple[str, ...]]:
        """The largest size that fits `rows`, and the line split that reaches it."""
        return max((fit_lines(option, inner, rows, _most(option, height)), option) for option in options)

    widest, _ = largest(999)
    for share in (replace(each, lines=max(each.lines, needed)) for each in shares(letters)):
        if view.paused and share.verb == 0 and share.least > 3:
            continue
        plain = packed(view.lines, share.lines, inner)
        room = height - notices - fixed(view, share, len(plain))
        reserved = _extra(
            large(tuple(map(inline, view.lines)), inner, share.line_size), share.line_size, plain
        )
        size, number = largest(room - reserved)
        if room > 0 and size >= min(share.least, widest):
            return _with_lines(view, share, number, size, inner, room)
    share = replace(SHARES[-1], lines=max(SHARES[-1].lines, needed))
    plain = packed(view.lines, share.lines, inner)
    return Plan(share, (text,), 0, plain, 0, max(0, height - notices - fixed(view, share, len(plain)) - 1))


def _with_lines(view: View, share: Share, number: tuple[str, ...], size: int, width: int, room: int) -> Plan:
    """The plan with lines as large as the number allows. A word in place of a number yields to them."""
    plain = packed(view.lines, share.lines, width)
    smaller = () if any(map(_has_digit, number)) else (_LEAST_WORD,)
    for tried in (size, *(least for least in smaller if least < size)):
        spare = room - lettered_rows(number, tried)
        lines, line_size = _larger(view.lines, plain, width, spare + share.gaps // 2, tried)
        if line_size:
            return Plan(share, number, tried, lines, line_size, spare - _extra(lines, line_size, plain))
    return Plan(share, number, size, plain, 0, room - lettered_rows(number, size))


def _with_action(view: View, width: int, height: int, room: int, letters: int) -> Plan | None:
    """The plan with the instruction in block letters of nearly the number's size: the first share that gives both
    the size of the fullest screens, or as much as the sparsest share leaves. None if that is too small.
    """
    wanted = wanted_action(height)
    number = () if view.action_alone else (capitals(view.number),)
    action = tuple(capitals(inline(text)) for text in view.action)
    found: Plan | None = None
    for share in shares(letters)[:-1]:
        plain = packed(view.lines, share.lines, width)
        made = _number_and_action(number, action, share, plain, width, room - fixed(view, share, len(plain)))
        if made is not None and (found is None or made.action_size > found.action_size):
            found = made
            if made.action_size >= wanted:
                return made
    return found


def wanted_action(height: int) -> int:
    """Preferred capital height of an instruction, in rows, on a screen `height` rows high."""
    return max(_LEAST_LETTERS, height // _ACTION)


def _number_and_action(
    number: tuple[str, ...],
    texts: tuple[str, ...],
    share: Share,
    plain: tuple[str, ...],
    width: int,
    room: int,
) -> Plan | None:
    """The largest letters of the instruction that are no larger than the number."""
    for size in reversed(sizes()):
        action = large(texts, width, size)
        left = room - lettered_rows(action, size)
        if not action or left < 0:
            continue
        largest = fit(number[0], width, left - 1) if number else 0
        if number and largest < max(size, min(_LEAST_WORD, share.least)):
            continue
        spare = left - (lettered_rows(number, largest) + 1 if number else 0)
        return Plan(share, number, largest, plain, 0, max(0, spare), action, size)
    return None


def says_more(view: View) -> bool:
    """Whether the spoken sentence says more than the lines."""
    return bool(view.said) and view.said not in " ".join(view.lines)


def _most(lines: tuple[str, ...], height: int) -> int:
    """Largest size of the number. A word in its place leaves space for the more informative lines."""
    return 99 if any(map(_has_digit, lines)) else max(_LEAST_WORD, height // 4 // len(lines))


def _has_digit(text: str) -> bool:
    return any(character.isdigit() for character in text)


def _extra(lines: tuple[str, ...], size: int, plain: tuple[str, ...]) -> int:
    """Rows that lines need in block letters beyond their plain-text rows."""
    return lettered_rows(lines, size) - len(plain) if size and lines else 0


def _larger(
    texts: tuple[str, ...], plain: tuple[str, ...], width: int, spare: int, number: int
) -> tuple[tuple[str, ...], int]:
    """The lines in the largest letters that fit the spare rows, well below the number's size."""
    for size in reversed(sizes()):
        if _LEAST_LETTERS <= size <= number * 0.6:
            lines = large(tuple(map(inline, texts)), width, size)
            if lines and _extra(lines, size, plain) + 1 <= spare:
                return lines, size
    return plain, 0


def fixed(view: View, share: Share, lines: int) -> int:
    """Rows used by everything but the number, with `lines` lines of plain text."""
    return (
        2  # the head and the meter
        + (share.verb + 1 if share.verb and (view.number or view.paused) else 0)
        + lines
        + (share.said if says_more(view) else 0)
        + (picture_rows(view, share) if share.pictures else 0)
        + (share.say if view.say else 0)
        + share.bar
        + share.gaps
    )


def picture_rows(view: View, share: Share) -> int:
    """Rows used by the drawings."""
    return (
        (shoe.ROWS if view.angle is not None and view.shoe_angles else 0)
        + (tilt.ROWS if view.level is not None else 0)
        + (pipe.ROWS + share.thick - 1 if view.stick is not None else 0)
    )


def split(text: str) -> tuple[tuple[str, ...], ...]:
    """The ways to split a text: one line, or two lines broken between words, never inside a measure."""
    words = text.split()
    if _has_digit(text) or len(words) < 2:
        return ((text,),)
    return ((text,), *(((" ".join(words[:at]), " ".join(words[at:]))) for at in range(1, len(words))))


def fit_lines(lines: tuple[str, ...], width: int, height: int, most: int = 99) -> int:
    """The largest size up to `most` at which every line fits, 0 if none."""
    each = (height - (len(lines) - 1)) // len(lines)
    return min(fit(line, width, each, most=most) for line in lines)


@lru_cache(maxsize=4096)
def lettered_rows(lines: tuple[str, ...], size: int) -> int:
    """Rows used by lines in block letters with a blank row between them, or one row each in plain text."""
    if not size:
        return len(lines)
    return sum(extent(line, size)[1] for line in lines) + len(lines) - 1


@lru_cache(maxsize=4096)
def large(texts: tuple[str, ...], width: int, size: int) -> tuple[str, ...]:
    """Texts broken between words so that each line fits the width at `size`. Empty if one cannot.

    The smallest letters are capitals, because a small "e" has no space for its bar.
    """
    lines: list[str] = []
    for text in map(capitals, texts) if size == _LEAST_LETTERS else texts if size else ():
        line = ""
        for word in _unparted(text):
            longer = f"{line} {word}".strip()
            if fit(longer, width, 999, size, size):
                line = longer
                continue
            lines += [line] if line else []
            line = word
        lines.append(line)
    return tuple(lines) if all(fit(line, width, 999, size, size) for line in lines) else ()


def _unparted(text: str) -> list[str]:
    """The words of a text. A measure counts as one word, so that it is never broken over two lines."""
    return _WORD.findall(text)


@lru_cache(maxsize=1024)
def packed(texts: tuple[str, ...], most: int, width: int) -> tuple[str, ...]:
    """At most `most` lines of plain text with whole sentences and unbroken measures. If there are more, short ones are
    put side by side. What does not fit is omitted, along with everything less important."""
    lines = list(texts)
    while len(lines) > most:
        at = min(
            range(len(lines) - 1), key=lambda index: len(lines[index]) + len(lines[index + 1]), default=None
        )
        if at is None or len(lines[at]) + len(lines[at + 1]) + 3 > width:
            break
        lines[at : at + 2] = [f"{lines[at]} · {lines[at + 1]}"]
    shown: list[str] = []
    for line in lines:
        whole = _whole(line, most - len(shown), width)
        if not whole:
            break
        shown += whole
    return tuple(shown)


def _whole(text: str, most: int, width: int) -> list[str]:
    """As many whole sentences as fit `most` lines."""
    sentences = sentences_of(text)
    while sentences:
        lines = _filled(" ".join(sentences), width)
        if len(lines) <= most and all(len(line) <= width for line in lines):
            return lines
        sentences.pop()
    return []


def sentences_of(text: str) -> list[str]:
    """The sentences of a text. A rest without a period counts as one."""
    return list(_SENTENCE.findall(text))


def _filled(text: str, width: int) -> list[str]:
    """Lines no longer than `width`, except for a single longer word."""
    lines: list[str] = []
    for word in _unparted(text):
        if lines and len(lines[-1]) + 1 + len(word) <= width:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines


def letters(lines: tuple[str, ...], size: int) -> Drawing:
    """Lines in block letters, stacked and centered."""
    drawings = [lettering(line, size) for line in lines]
    width = max((len(drawing[0]) for drawing in drawings if drawing), default=0)
    rows: list[str] = []
    for index, drawing in enumerate(drawings):
        rows += ([""] if index else []) + [line.center(width) for line in drawing]
    return tuple(line.ljust(width) for line in rows)
