"""How the rows of the screen are shared out: the number first, the rest by how much it helps."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from bench.data.glyphs import sizes
from bench.dialogue.effects import View
from bench.screen import pipe, shoe, tilt
from bench.screen.lettering import Drawing, capitals, fit, inline, lettering

_SENTENCE = re.compile(r"\S.*?[.?!](?=\s|$)|\S.*?$")
_WORD = re.compile(r"""(?:-?\d+'\ )?(?:-?\d+\ )?\d+[/⁄]\d+\S*|-?\d+'\ \d+\S*|-?\d+\ mm\S*|\S+""")

SMALLEST = (40, 12)
"""Columns and rows below which only a message is shown."""

MARGIN = 1

SMALLEST_LETTERS, LARGEST_LETTERS = -1, 1

_LEAST_LETTERS = 3
_ACTION = 7
"""An instruction is worth more room until its letters are this part of the screen's height."""
_LEAST_WORD = 7


@dataclass(frozen=True, slots=True)
class Share:
    """One way to share the rows. Sizes are rows to a capital, 0 for a plain line of text.

    It is taken when the number still gets `least`, or all that the width allows.
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
    """The ways to share the rows: larger letters leave out what only adds to them, smaller ones keep more."""
    if letters > 0:
        return tuple(replace(share, pictures=False, said=0, say=min(1, share.say)) for share in SHARES)
    if letters < 0:
        return tuple(replace(share, least=share.least // 2) for share in SHARES)
    return SHARES


@dataclass(frozen=True, slots=True)
class Plan:
    """What was settled: the share, the number and the lines with their sizes, and the rows left over."""

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
        """Rows that the number, the instruction and the lines take."""
        number = lettered_rows(self.number, self.size) if self.number else 0
        between = 1 if self.number and self.action else 0
        return number + between + lettered_rows(self.action, self.action_size) + self._line_rows

    @property
    def _line_rows(self) -> int:
        return lettered_rows(self.lines, self.line_size)


def plan(view: View, width: int, height: int, notices: int = 0, letters: int = 0) -> Plan:
    """The richest share that leaves the number its size. `notices` counts rows taken by warnings above it. An
    instruction that has no room in block letters is set in plain lines, all of it, at the cost of the number."""
    inner, needed = width - 2 * MARGIN, 0
    if view.action and not view.paused:
        planned = _with_action(view, inner, height, height - notices, letters)
        if planned is not None:
            return planned
        view, needed = replace(view, lines=(*view.action, *view.lines)), len(view.action)
    text = capitals(view.number or view.verb)
    options = split(text)

    def largest(rows: int) -> tuple[int, tuple[str, ...]]:
        """The size that fits so many rows, and the way of setting the text that reaches it."""
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
    """The lines in the largest letters that the number leaves room for; a word gives way to them."""
    plain = packed(view.lines, share.lines, width)
    smaller = () if any(map(_has_digit, number)) else (_LEAST_WORD,)
    for tried in (size, *(least for least in smaller if least < size)):
        spare = room - lettered_rows(number, tried)
        lines, line_size = _larger(view.lines, plain, width, spare + share.gaps // 2, tried)
        if line_size:
            return Plan(share, number, tried, lines, line_size, spare - _extra(lines, line_size, plain))
    return Plan(share, number, size, plain, 0, room - lettered_rows(number, size))


def _with_action(view: View, width: int, height: int, room: int, letters: int) -> Plan | None:
    """The number, and the instruction in block letters of nearly its size: in the first share that gives both
    what the richest screens would, or as much of it as the poorest leaves; None where even that is too little.
    """
    wanted = wanted_action(height)
    found: Plan | None = None
    for share in shares(letters)[:-1]:
        plain = packed(view.lines, share.lines, width)
        made = _number_and_action(view, share, plain, width, room - fixed(view, share, len(plain)))
        if made is not None and (found is None or made.action_size > found.action_size):
            found = made
            if made.action_size >= wanted:
                return made
    return found


def wanted_action(height: int) -> int:
    """Rows to a capital that an instruction is worth on a screen so high."""
    return max(_LEAST_LETTERS, height // _ACTION)


def _number_and_action(
    view: View, share: Share, plain: tuple[str, ...], width: int, room: int
) -> Plan | None:
    """The largest letters of the instruction that leave the number no smaller than they are."""
    number = () if view.action_alone else (capitals(view.number),)
    for size in reversed(sizes()):
        action = large(tuple(capitals(inline(text)) for text in view.action), width, size)
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
    """Whether the sentence spoken tells more than the lines do."""
    return bool(view.said) and view.said not in " ".join(view.lines)


def _most(lines: tuple[str, ...], height: int) -> int:
    """A number takes what it can; a word leaves room for the lines that say more."""
    return 99 if any(map(_has_digit, lines)) else max(_LEAST_WORD, height // 4 // len(lines))


def _has_digit(text: str) -> bool:
    return any(character.isdigit() for character in text)


def _extra(lines: tuple[str, ...], size: int, plain: tuple[str, ...]) -> int:
    """Rows that lines in block letters take beyond those they take as plain text."""
    return lettered_rows(lines, size) - len(plain) if size and lines else 0


def _larger(
    texts: tuple[str, ...], plain: tuple[str, ...], width: int, spare: int, number: int
) -> tuple[tuple[str, ...], int]:
    """The lines in the largest letters that the spare rows hold, well below the number's own size."""
    for size in reversed(sizes()):
        if _LEAST_LETTERS <= size <= number * 0.6:
            lines = large(tuple(map(inline, texts)), width, size)
            if lines and _extra(lines, size, plain) + 1 <= spare:
                return lines, size
    return plain, 0


def fixed(view: View, share: Share, lines: int) -> int:
    """Rows that everything but the number takes, with so many lines of plain text."""
    return (
        2  # the head, and the ears
        + (share.verb + 1 if share.verb and (view.number or view.paused) else 0)
        + lines
        + (share.said if says_more(view) else 0)
        + (picture_rows(view, share) if share.pictures else 0)
        + (share.say if view.say else 0)
        + share.bar
        + share.gaps
    )


def picture_rows(view: View, share: Share) -> int:
    """Rows that the drawings take."""
    return (
        (shoe.ROWS if view.angle is not None and view.shoe_angles else 0)
        + (tilt.ROWS if view.level is not None else 0)
        + (pipe.ROWS + share.thick - 1 if view.stick is not None else 0)
    )


def split(text: str) -> tuple[tuple[str, ...], ...]:
    """Ways to set a text: in one line, and words (never a number and its unit) in two."""
    words = text.split()
    if _has_digit(text) or len(words) < 2:
        return ((text,),)
    return ((text,), *(((" ".join(words[:at]), " ".join(words[at:]))) for at in range(1, len(words))))


def fit_lines(lines: tuple[str, ...], width: int, height: int, most: int = 99) -> int:
    """The largest size up to `most` at which every line fits, 0 if none."""
    each = (height - (len(lines) - 1)) // len(lines)
    return min(fit(line, width, each, most=most) for line in lines)


def lettered_rows(lines: tuple[str, ...], size: int) -> int:
    """Rows that lines take in block letters, a row of air between them; one each when in plain text."""
    if not size:
        return len(lines)
    return sum(len(lettering(line, size)) for line in lines) + len(lines) - 1


def large(texts: tuple[str, ...], width: int, size: int) -> tuple[str, ...]:
    """Texts broken between words so that each line fits the width at `size`; none if one cannot.

    The smallest letters are capitals: there an "e" has no room for its bar.
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
    """Words, a measure with all its parts as one: it is never broken over two lines."""
    return _WORD.findall(text)


def packed(texts: tuple[str, ...], most: int, width: int) -> tuple[str, ...]:
    """At most `most` lines of plain text, of whole sentences, no measure parted: where there are more, short ones are
    put side by side, and what has no room is left out, with what matters less than it."""
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
    """As many whole sentences as go into so many lines."""
    sentences = sentences_of(text)
    while sentences:
        lines = _filled(" ".join(sentences), width)
        if len(lines) <= most and all(len(line) <= width for line in lines):
            return lines
        sentences.pop()
    return []


def sentences_of(text: str) -> list[str]:
    """A text's sentences; what has no full stop at its end is one too."""
    return list(_SENTENCE.findall(text))


def _filled(text: str, width: int) -> list[str]:
    """Lines no longer than `width` where words allow."""
    lines: list[str] = []
    for word in _unparted(text):
        if lines and len(lines[-1]) + 1 + len(word) <= width:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines


def letters(lines: tuple[str, ...], size: int) -> Drawing:
    """Lines in block letters, one under the other, each in the middle."""
    drawings = [lettering(line, size) for line in lines]
    width = max((len(drawing[0]) for drawing in drawings if drawing), default=0)
    rows: list[str] = []
    for index, drawing in enumerate(drawings):
        rows += ([""] if index else []) + [line.center(width) for line in drawing]
    return tuple(line.ljust(width) for line in rows)
