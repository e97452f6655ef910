"""Runs the demonstration: the whole assistant with a second voice in place of the person."""

from __future__ import annotations

import threading
from dataclasses import replace
from pathlib import Path
from typing import TextIO

from bench.assistant.assembly import Assistant, Options, settings_for
from bench.assistant.fronts import converse
from bench.assistant.plain import PlainDisplay
from bench.core.notes import BenchError
from bench.demo.person import Person, Watched
from bench.demo.scenario import scenario
from bench.demo.second_voice import SecondVoice, SpokenSource
from bench.dialogue.knowledge import Knowledge
from bench.language.write import written
from bench.memory.store import Store


class Demo:
    """One demonstration. With `out` the conversation is printed there, else the real screen is used.

    Raises BenchError when the machine has no voice at all, or the scenario is damaged.
    """

    def __init__(self, folder: Path, options: Options, knowledge: Knowledge, out: TextIO | None) -> None:
        self._scenario = scenario()
        self._out = out
        store = Store(folder)
        given = {"words_per_minute": self._scenario.replies_per_minute, **options.given}
        options = replace(options, given=given)
        settings = settings_for(store, options)
        self._app = None
        if out is None:
            from bench.screen.app import BenchApp
            from bench.screen.themes import Worn

            self._app = BenchApp(lambda event: self.assistant.loop.post(event), Worn(settings.theme))
        self.watched = Watched(self._app or PlainDisplay(out), knowledge.verbs["mark"])
        self.assistant = Assistant(options, knowledge, store, self.watched)
        self._source = SpokenSource()
        wanted = self._scenario
        self._voice = SecondVoice(self._source, wanted.voices, wanted.words_per_minute, settings.speaker)
        self.person = Person(wanted.part, self.watched, self._say, self._may_speak, wanted.doubt)

    @property
    def right(self) -> bool:
        """Whether the shown marks match the scenario and nothing failed."""
        return (
            not self.person.failed
            and not self.assistant.session.faults
            and self.watched.marks == self._scenario.marks
        )

    @property
    def verdict(self) -> str:
        """The result in one sentence."""
        shown, wanted = ", ".join(self.watched.marks) or "none", ", ".join(self._scenario.marks)
        if self.right:
            return f"The job is done. The marks {shown} are correct."
        return self.person.failed or f"The marks were {shown}. They should have been {wanted}."

    def run(self) -> None:
        """Run the demonstration to its end."""
        threading.Thread(target=self._play, name="person", daemon=True).start()
        if self._app:
            converse(self.assistant, self._app, self._open)
        else:
            self._open()
            self.assistant.loop.run()
        self.person.stop()
        self._voice.close()
        self.assistant.close()

    def _open(self) -> None:
        self.assistant.open_voice()
        self.assistant.open_ears(self._source)

    def _play(self) -> None:
        try:
            for part in self._scenario.part:
                self._voice.prepare(part.says)
            self.person.run()
        except (BenchError, ValueError) as error:
            self.person.failed = written(error.message) if isinstance(error, BenchError) else str(error)
        if self.person.failed:
            self.assistant.loop.stop()

    def _say(self, words: str) -> None:
        if self._out:
            print(f"    you: {words}", file=self._out, flush=True)
        self._voice.say(words)

    def _may_speak(self) -> bool:
        heard = self.assistant.ports.ears is not None and not self._source.sounding
        return heard and not self.assistant.performer.speaking
