"""Formats lengths, turns and the points of a bender for paper.

A position on a stick is written in inches, like the tape's large figures and the spoken marks: 104 1/2". What is
built, bought or fastened is written in feet and inches from three feet on, as is usual in the trade: a stick of
10' 0", straps at 3' 0". So the reader never has to convert a mark or a distance on the wall.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from fractions import Fraction

from bench.core.floor import lie
from bench.core.lengths import FOOT, SIXTEENTH, Units, angle_text, feet_text, round_to, text
from bench.core.materials import Item
from bench.core.notes import Note, Value
from bench.core.plan import Hook, Mark, Reference
from bench.language.write import written_value

FEET_FROM = 3 * FOOT
"""Below this length only inches are usual: a rise of 30", a pitch of 18" (common practice, no source)."""

POINTS = {Reference.ARROW: "arrow", Reference.NOTCH: "rim notch", Reference.STAR: "star"}
"""The points of a bender that are aligned with a mark."""

HOOKS = {Hook.TAPE_END: "tape end", Hook.AWAY: "far end", Hook.EITHER: "either"}
"""The end of the stick that the hook faces."""

HOOK_WORDS = {
    Hook.TAPE_END: "hook to the tape end",
    Hook.AWAY: "hook to the far end",
    Hook.EITHER: "hook either way",
}
"""The same as part of a sentence."""


def built(value: Fraction | float, units: Units) -> str:
    """A length that is built, bought or fastened: `30"`, `3' 0"`, `635 mm`."""
    if units is Units.METRIC or abs(round_to(value, SIXTEENTH)) < FEET_FROM:
        return text(value, units)
    return feet_text(value)


def built_note(note: Note, units: Units, names: Mapping[str, str] | None = None) -> str:
    """A note with its lengths formatted by `built` and its trade terms from `names`."""
    values = {key: _value(value, units, names or {}) for key, value in note.values.items()}
    return note.template.format(**values) if values else note.template


def item_text(item: Item, units: Units, names: Mapping[str, str]) -> str:
    """One line of a material list, with the count separate from the trade size: `2 × 1/2 EMT connector`."""
    conduit = names.get(item.conduit, item.conduit.upper())
    what = item.what if item.length is None else f"of {built(item.length, units)}"
    return f"{item.count} × {item.size} {conduit} {what}"


def _value(value: Value, units: Units, names: Mapping[str, str]) -> str:
    if isinstance(value, Fraction):
        return built(value, units) if value % SIXTEENTH == 0 else written_value(value, units)
    return names.get(value, value) if isinstance(value, str) else written_value(value, units)


NOT_TURNED = ("–", "no turn")
"""No turn before the first bend; no turn before a later one."""


def turns(marks: Iterable[Mark], air: Collection[int] = ()) -> tuple[str, ...]:
    """How to turn the pipe before each bend, relative to the previous bend. The first has no turn.

    Left and right are seen from the tape end. A bend to the right needs a turn to the left. `air` are the orders of
    the bends made in the air.
    """
    said: list[str] = []
    lies: float | None = None
    for mark in marks:
        now = lie(mark, mark.order in air)
        said.append(_turn(0.0 if lies is None else (now - lies) % 360, first=lies is None))
        lies = now
    return tuple(said)


def handles(marks: Iterable[Mark], air: Collection[int]) -> tuple[str, ...]:
    """Whether the handle is up (on the floor) or down (in the air). Blank if no bend is made in the air."""
    return tuple("" if not air else "down" if mark.order in air else "up" for mark in marks)


def _turn(by: float, first: bool) -> str:
    if first or min(by, 360 - by) < 0.05:
        return NOT_TURNED[0 if first else 1]
    if abs(by - 180) < 0.05:
        return "half a turn"
    return f"{angle_text(by)} left" if by < 180 else f"{angle_text(360 - by)} right"
