"""Small pieces of wording used by several stages."""

from __future__ import annotations

from collections.abc import Iterable

from bench.core.lengths import Units
from bench.core.notes import Note
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.state import State
from bench.job.model import Number, Tools
from bench.language.write import written


def tools_title(tools: Tools, knowledge: Knowledge) -> str:
    """What is in hand, for the head of the screen: `3/4" EMT`."""
    size = f"{size_text(tools.size)} " if tools.size else ""
    return f"{size}{tools.conduit.upper()}"


def size_text(size: str) -> str:
    """A trade size as written: `3/4"`, `20 mm`."""
    return size if size.endswith("mm") else f'{size}"'


def place_title(state: State, knowledge: Knowledge) -> str:
    """Conduit, stick and bend in hand, for the head of the screen."""
    place = state.now
    parts = [tools_title(place.tools, knowledge), knowledge.words["stick"].format(name=place.stick.name)]
    if place.bend.kind:
        parts.append(knowledge.flows[place.bend.kind].name)
    return " · ".join(parts)


def measure_note(key: str, value: Number, knowledge: Knowledge) -> Note:
    """One measure with its value, as read back."""
    return Note(key, f"{knowledge.questions[key].label.capitalize()} {{value}}.", {"value": value})


def lines(notes: Iterable[Note], units: Units) -> tuple[str, ...]:
    """Notes as lines of the screen."""
    return tuple(written(note, units) for note in notes)
