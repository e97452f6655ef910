"""The instruction of a step in the fewest words: what the screen shows in block letters. Pure."""

from __future__ import annotations

from collections.abc import Iterable

from bench.core.checks import Check
from bench.core.corrections import Correction, Tweak, Verdict
from bench.core.lengths import Units, angle_text, text
from bench.core.notes import Note
from bench.core.plan import Mark
from bench.dialogue.knowledge import Knowledge
from bench.language.write import written


def put_on(mark: Mark, number: int, knowledge: Knowledge) -> tuple[str, ...]:
    """Which point of the bender goes on which mark, and which way the hook faces."""
    point = knowledge.words[f"point_{mark.reference}"]
    return knowledge.words["put_on"].format(point=point, mark=number), knowledge.words[f"hook_{mark.hook}"]


def turned(by: float, back: bool, knowledge: Knowledge) -> tuple[str, ...]:
    """How far to turn the pipe and which way, `by` degrees to the left as seen from the tape end.

    `back` tells that half a turn brings it back as it was.
    """
    if by == 180:
        return (knowledge.words["turn_back" if back else "turn_half"],)
    way, angle = ("turn_left", by) if by < 180 else ("turn_right", 360 - by)
    return knowledge.words[way].format(angle=angle_text(angle)), knowledge.words["seen_from"]


def adjusted(correction: Correction, units: Units, knowledge: Knowledge) -> tuple[str, ...]:
    """What to open, close, turn or cut, and at which mark."""
    if correction.verdict is Verdict.BEND:
        return tuple(_tweaked(tweak, knowledge) for tweak in correction.tweaks)
    if correction.verdict is Verdict.TRIM and correction.trim is not None:
        return (
            knowledge.words["trim"].format(length=text(correction.trim, units)),
            knowledge.words["trim_where"],
        )
    if correction.verdict is Verdict.MOVE and correction.trim is not None:
        move = knowledge.words["move_out"].format(length=text(abs(correction.trim), units))
        return move, knowledge.words["or_remake"]
    return (knowledge.words["remake"],)


def how_to_measure(check: Check) -> tuple[str, str]:
    """How to lay the pipe, blank where that is not told, and what to measure, without the value: that is the
    number over it."""
    lay, _, what = check.note.template.partition(": {planned}")[0].rpartition(". ")
    return lay, what


def _tweaked(tweak: Tweak, knowledge: Knowledge) -> str:
    if tweak.turn:
        return knowledge.words["turn_at"].format(angle=angle_text(abs(tweak.turn)), mark=tweak.mark)
    key = "close_at" if tweak.close > 0 else "open_at"
    return knowledge.words[key].format(angle=angle_text(abs(tweak.close)), mark=tweak.mark)


def given(measures: Iterable[Note], units: Units) -> tuple[str, ...]:
    """Every measure with its value, without its full stop."""
    return tuple(written(note, units).rstrip(".") for note in measures)
