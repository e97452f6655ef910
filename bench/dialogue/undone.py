"""What an undo took back, in the words in which it was given."""

from __future__ import annotations

from dataclasses import replace

from bench.core.notes import BenchError, Note
from bench.dialogue.in_hand import step_now
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.state import Place, Stage, State
from bench.dialogue.steps.step import Doing
from bench.language.speak import spoken_size


def told(state: State, knowledge: Knowledge) -> Note:
    """What the last move did, from the place before it and the place after it. `state` has one to take back."""
    before, after = state.past[-1], state.now
    for found in (_stick, _answer, _bend, _drawn, _reading, _tools, _trial, _correction):
        note = found(before, after, knowledge)
        if note is not None:
            return note
    return _step(state, before, after, knowledge) or knowledge.note("undone")


def _stick(before: Place, after: Place, knowledge: Knowledge) -> Note | None:
    """A stick begun, begun again or left; the job ended."""
    words = knowledge.words
    if after.stage is Stage.DONE and before.stage is not Stage.DONE:
        return _took(words["the_end"], knowledge)
    if after.stick.name != before.stick.name:
        return _took(words["next_pipe" if after.stick.pipe > 1 else "new_stick"], knowledge)
    left = len(after.stick.bends) < len(before.stick.bends) or (before.bend.kind and not after.bend.kind)
    if left and not after.bend.kind and len(after.stick.bends) <= len(before.stick.bends):
        return _took(words["the_cancel"], knowledge)
    if before.stick.marked and not after.stick.marked and after.stage is Stage.WORK and not after.at:
        return _took(words["starting_over"], knowledge)
    return None


def _answer(before: Place, after: Place, knowledge: Knowledge) -> Note | None:
    """A measure of the bend in hand."""
    given, had = after.bend.measures, before.bend.measures
    if not after.bend.kind or before.bend.kind not in ("", after.bend.kind):
        return None
    changed = [key for key in given if given[key] != had.get(key)]
    if before.bend.kind and changed:
        label, value = knowledge.questions[changed[-1]].label, given[changed[-1]]
        return Note("took_back", f"{knowledge.prompts['took_back']} {label} {{value}}.", {"value": value})
    if not before.bend.kind:
        return _took(knowledge.flows[after.bend.kind].name, knowledge)
    return None


def _bend(before: Place, after: Place, knowledge: Knowledge) -> Note | None:
    """A bend put on the stick, by the yes at its read-back."""
    if len(after.stick.bends) == len(before.stick.bends) + 1 and after.stick.name == before.stick.name:
        return _took(knowledge.words["the_yes"], knowledge)
    return None


def _drawn(before: Place, after: Place, knowledge: Knowledge) -> Note | None:
    """Marks drawn or bends made."""
    if after.stick.name != before.stick.name:
        return None
    pairs = (
        ("a_mark", set(after.stick.marked) - set(before.stick.marked)),
        ("a_bend", set(after.stick.bent) - set(before.stick.bent)),
    )
    for word, numbers in pairs:
        if numbers:
            template = f"{knowledge.prompts['took_back']} {knowledge.words[word]}."
            return Note("took_back", template, {"number": max(numbers)})
    return None


def _reading(before: Place, after: Place, knowledge: Knowledge) -> Note | None:
    """What was measured at a check."""
    found = after.measured if after.measured != before.measured else None
    if found is None:
        return None
    key, value = found
    template = f"{knowledge.prompts['took_back']} {knowledge.words[f'check_{key}']} {{value}}."
    return Note("took_back", template, {"value": -value if value < 0 else value})


def _tools(before: Place, after: Place, knowledge: Knowledge) -> Note | None:
    """Set-up."""
    for part in ("size", "conduit"):
        now, was = getattr(after.tools, part), getattr(before.tools, part)
        if now and now != was:
            return _took(knowledge.word(now) if part == "conduit" else spoken_size(now), knowledge)
    return None


def _trial(before: Place, after: Place, knowledge: Knowledge) -> Note | None:
    """A measure on site, or of a test bend."""
    if len(after.trial) != len(before.trial) + 1:
        return None
    key, value = after.trial[-1]
    if value is None:
        return None
    template = f"{knowledge.prompts['took_back']} {knowledge.questions[key].label} {{value}}."
    return Note("took_back", template, {"value": value})


def _correction(before: Place, after: Place, knowledge: Knowledge) -> Note | None:
    """A reading accepted by the yes at its read-back, or a correction made."""
    if before.stage is Stage.MEASURED and after.observed != before.observed:
        return _took(knowledge.words["the_yes"], knowledge)
    if before.stage is Stage.TWEAK and after.stage is Stage.WORK and after.observed != before.observed:
        return _took(knowledge.words["the_correction"], knowledge)
    return None


_STEPS = {
    Doing.TURN: "the_turn",
    Doing.OFFER: "the_check",
    Doing.CHECK: "the_check",
    Doing.CUT: "the_cut",
}
"""Words for steps that leave nothing drawn or bent."""


def _step(state: State, before: Place, after: Place, knowledge: Knowledge) -> Note | None:
    """A step of the work gone on from."""
    on = after.at > before.at if after.stage is Stage.WORK else after.stage is Stage.AFTER
    if before.stage is not Stage.WORK or not on:
        return None
    try:
        doing = step_now(replace(state, now=before), knowledge).doing
    except BenchError:
        return None
    return _took(knowledge.words[_STEPS[doing]], knowledge) if doing in _STEPS else None


def _took(what: str, knowledge: Knowledge) -> Note:
    return Note("took_back", f"{knowledge.prompts['took_back']} {{what}}.", {"what": what})
