"""The demonstration as pictures: every screen of its job, without sound or waiting."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from pathlib import Path

from bench.assistant.plain import PlainDisplay
from bench.core.notes import BenchError
from bench.demo.person import Person, Watched
from bench.demo.scenario import scenario
from bench.dialogue.effects import Finish, Show, View
from bench.dialogue.events import Event, Said, Started
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.machine import initial, step
from bench.language.meaning import typed
from bench.screen.page import Live, paint
from bench.screen.picture import picture

_LETTERS = re.compile(r"\b([A-Z]) (?=[A-Z]\b)")
"""Letters spoken one by one ("E M T"), which are recognized as one word."""
_LONGEST = 400
"""Number of screens at which the demonstration is considered stuck."""


def screens(knowledge: Knowledge) -> Iterator[View]:
    """The screens shown to the scenario's person, in order. Raises BenchError when the person has no answer or the
    demonstration does not end."""
    display = Watched(PlainDisplay(io.StringIO()), knowledge.verbs["mark"])
    person = Person(scenario().part, display, lambda words: None, lambda: True)
    state = initial()
    event: Event = Started()
    asked = ""
    for _ in range(_LONGEST):
        state, effects = step(state, event, knowledge)
        shown = [effect.view for effect in effects if isinstance(effect, Show)]
        yield from shown
        if any(isinstance(effect, Finish) for effect in effects):
            return
        asked = next((view.said for view in reversed(shown) if view.said), asked)
        try:
            event = Said(typed(_LETTERS.sub(r"\1", person.answer(asked))))
        except ValueError as error:
            raise BenchError(str(error), "shared/demo.toml does not fit this version.") from error
    raise BenchError("The demonstration does not end.", "shared/demo.toml does not fit this version.")


def write_story(folder: Path, knowledge: Knowledge, size: tuple[int, int], theme: str) -> tuple[Path, ...]:
    """Write one SVG per screen, from `01-pipe.svg` on, to a new or empty folder. Raises BenchError otherwise."""
    if folder.exists() and any(folder.iterdir()):
        raise BenchError(f"{folder} is not empty.", "Name a new or empty folder.")
    folder.mkdir(parents=True, exist_ok=True)
    written: list[Path] = []
    last: View | None = None
    for view in screens(knowledge):
        if view == last:
            continue
        last = view
        name = "".join(letter for letter in view.verb.lower() if letter.isalnum()) or "screen"
        target = folder / f"{len(written) + 1:02}-{name}.svg"
        target.write_text(picture(paint(view, *size, Live()), *size, theme).svg, encoding="utf-8")
        written.append(target)
    return tuple(written)
