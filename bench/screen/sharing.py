"""How the rows of the screen are shared out: the number first, the rest by how much it helps."""

from __future__ import annotations

from dataclasses import dataclass

from bench.dialogue.effects import View
from bench.screen import pipe, shoe, tilt
from bench.screen.lettering import Drawing, capitals, fit, lettering

SMALLEST = (40, 12)
"""Columns and rows below which only a message is shown."""

MARGIN = 1


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
    Share(least=3, lines=1, pictures=False, bar=0),
    Share(least=0, lines=1, pictures=False, bar=0),
)
"""Richest first."""


@dataclass(frozen=True, slots=True)
class Plan:
    """What was settled: the share, the number's lines at one size, and the rows left over."""

    share: Share
    size: int
    number: tuple[str, ...]
    large: tuple[str, ...]
    spare: int


def plan(view: View, width: int, height: int, notices: int = 0) -> Plan:
    """The richest share that leaves the number its size. `notices` counts rows taken by warnings above it."""
    inner = width - 2 * MARGIN
    options = split(capitals(view.number or view.verb))
    widest = max(fit_lines(option, inner, 999) for option in options)
    for share in SHARES:
        if view.paused and share.verb == 0 and share.least > 3:
            continue
        large = large_lines(view, share, inner)
        room = height - fixed(view, share, large) - notices
        size, number = max((fit_lines(option, inner, room), option) for option in options)
        if room > 0 and size >= min(share.least, widest):
            return Plan(share, size, number, large, room - lettered_rows(number, size))
    share = SHARES[-1]
    return Plan(share, 0, options[0], (), max(0, height - fixed(view, share, ()) - notices - 1))


def fixed(view: View, share: Share, large: tuple[str, ...]) -> int:
    """Rows that everything but the number takes."""
    lines = lettered_rows(large, share.line_size) if large else min(share.lines, len(view.lines))
    return (
        2  # the head, and the ears
        + (share.verb + 1 if share.verb and (view.number or view.paused) else 0)
        + lines
        + (share.said if view.said else 0)
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
    if any(character.isdigit() for character in text) or len(words) < 2:
        return ((text,),)
    return ((text,), *(((" ".join(words[:at]), " ".join(words[at:]))) for at in range(1, len(words))))


def fit_lines(lines: tuple[str, ...], width: int, height: int) -> int:
    """The largest size at which every line fits, 0 if none."""
    each = (height - (len(lines) - 1)) // len(lines)
    return min(fit(line, width, each) for line in lines)


def lettered_rows(lines: tuple[str, ...], size: int) -> int:
    """Rows that lines take in block letters, a row of air between them; one each when in plain text."""
    if not size:
        return len(lines)
    return sum(len(lettering(line, size)) for line in lines) + len(lines) - 1


def large_lines(view: View, share: Share, width: int) -> tuple[str, ...]:
    """The lines in block letters where the share wants them and each fits the width; else none."""
    lines = view.lines[: share.lines]
    if not share.line_size or not lines:
        return ()
    return lines if all(fit(line, width, 99, least=share.line_size) for line in lines) else ()


def letters(lines: tuple[str, ...], size: int) -> Drawing:
    """Lines in block letters, one under the other, each in the middle."""
    drawings = [lettering(line, size) for line in lines]
    width = max((len(drawing[0]) for drawing in drawings if drawing), default=0)
    rows: list[str] = []
    for index, drawing in enumerate(drawings):
        rows += ([""] if index else []) + [line.center(width).rstrip() for line in drawing]
    return tuple(line.ljust(width) for line in rows)
