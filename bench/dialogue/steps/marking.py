"""The marks to draw: one by one, in rows, from the tape end or past finished bends. Pure."""

from __future__ import annotations

from collections.abc import Sequence

from bench.core.lengths import Units, text
from bench.core.notes import Note
from bench.core.stick import Stick
from bench.core.taping import Over
from bench.dialogue import rows
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.steps.step import Doing, Pace, WorkStep
from bench.language.write import written_value

_TAPED = {
    (True, Over.NOTHING): ("mark_from_back", "from_back"),
    (True, Over.BENDS): ("mark_past_back", "past_back"),
    (False, Over.BENDS): ("mark_past", "past_bends"),
    (True, Over.OUTSIDE): ("mark_outside_back", "outside_back"),
    (False, Over.OUTSIDE): ("mark_outside", "outside_bend"),
}
"""Prompt and words of the screen for a mark behind a finished ninety, and past other bends."""


def mark_steps(
    stick: Stick, to_make: Sequence[int], units: Units, knowledge: Knowledge, pace: Pace
) -> list[WorkStep]:
    """The marks as steps, those of a row together."""
    return [
        mark_step(stick, row[0], to_make, units, knowledge)
        if len(row) == 1
        else _row(stick, row, units, knowledge)
        for row in rows.groups(stick, to_make, pace.row)
    ]


def _row(stick: Stick, row: tuple[int, ...], units: Units, knowledge: Knowledge) -> WorkStep:
    """Several marks in one step: all of them in block letters, or the first, the spacing and the last."""
    say, words = rows.said_together(stick, row, knowledge), knowledge.words
    places = [text(stick.marks[index].at, units) for index in row]
    if not rows.evenly_spaced(stick, row):
        return WorkStep(Doing.MARK, (say,), places[0], mark=row[0], row=row, action=tuple(places), alone=True)
    number = written_value(rows.spacing(stick, row), units)
    action = (
        words["first_at"].format(at=places[0]),
        words["every"].format(apart=number),
        words["last_at"].format(at=places[-1]),
    )
    all_of_them = Note("places", ", ".join(places))
    return WorkStep(
        Doing.MARK, (say,), places[0], (all_of_them,), mark=row[0], row=row, action=action, alone=True
    )


def mark_step(
    stick: Stick, index: int, to_make: Sequence[int], units: Units, knowledge: Knowledge
) -> WorkStep:
    """A mark from the tape end, or from the back of a finished ninety; past other bends by a straight tape, or over
    the outside of one bend."""
    taped = stick.taped(index + 1, rows.made_marks(stick, to_make))
    at, note, where = stick.marks[index].at, "mark", "from_tape_end"
    if taped is not None:
        at, (note, where) = taped.at, _TAPED[taped.from_back, taped.over]
    say = knowledge.note(note, name=index + 1, at=at)
    action = (knowledge.words[where],)
    return WorkStep(Doing.MARK, (say,), text(at, units), mark=index, action=action)
