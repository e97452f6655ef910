"""What an undo took back, in the words it was given in."""

from __future__ import annotations

from bench.core.notes import Note
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.state import Place, State
from bench.language.speak import spoken_size


def told(state: State, knowledge: Knowledge) -> Note:
    """What the last move did, from the place before it and the place after it. `state` has one to take back."""
    before, after = state.past[-1], state.now
    for found in (_answer, _bend, _drawn, _reading, _tools):
        note = found(before, after, knowledge)
        if note is not None:
            return note
    return knowledge.note("undone")


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


def _took(what: str, knowledge: Knowledge) -> Note:
    return Note("took_back", f"{knowledge.prompts['took_back']} {{what}}.", {"what": what})
