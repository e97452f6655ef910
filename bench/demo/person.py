"""The person in the demonstration: waits, answers, and watches what is shown."""

from __future__ import annotations

import re
import threading
import time
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, field

from bench.assistant.ports import Display
from bench.demo.scenario import Part
from bench.dialogue.effects import Look, View


@dataclass
class Watched:
    """A display that also passes each view to the person. Everything else is delegated."""

    display: Display
    mark_verb: str
    views: list[View] = field(default_factory=list)
    shown: int = 0
    changed: float = 0.0

    def show(self, view: View) -> None:
        """Show the view and store it."""
        self.views.append(view)
        self.shown += 1
        self.changed = time.monotonic()
        self.display.show(view)

    def level(self, dbfs: float, floor: float, clipped: bool) -> None:
        """Delegate."""
        self.display.level(dbfs, floor, clipped)

    def hearing(self, words: str) -> None:
        """Delegate."""
        self.display.hearing(words)

    def notice(self, words: str) -> None:
        """Delegate."""
        self.display.notice(words)

    def restyle(self, look: Look) -> None:
        """Delegate."""
        self.display.restyle(look)

    def leave(self) -> None:
        """Delegate."""
        self.display.leave()

    @property
    def marks(self) -> tuple[str, ...]:
        """The distinct marks shown, in order."""
        shown = [view for view in self.views if view.verb == self.mark_verb]
        places = (place for view in shown for place in (view.action if view.action_alone else (view.number,)))
        return tuple(dict.fromkeys(places))


class Person:
    """Waits until the assistant has finished, pauses briefly, and answers."""

    THINKS = 0.3
    """Seconds from the end of the assistant's speech to the answer."""
    GIVES_UP = 6

    def __init__(
        self,
        parts: tuple[Part, ...],
        watched: Watched,
        say: Callable[[str], None],
        may_speak: Callable[[], bool],
        doubt: str = "",
    ) -> None:
        self._parts = list(parts)
        self._doubt = doubt
        self._meant = ""
        self._watched = watched
        self._say = say
        self._may_speak = may_speak
        self._over = threading.Event()
        self.failed = ""

    def stop(self) -> None:
        """Stop at the end of the session."""
        self._over.set()

    def run(self, waits: float = 6.0) -> None:
        """Play the part until stopped. `failed` is set when the assistant no longer answers."""
        answered, said_at, quiet_since = 0, 0.0, time.monotonic()
        asked: deque[str] = deque(maxlen=20)
        while not self._over.wait(0.05):
            now, shown = time.monotonic(), self._watched.shown
            if not self._may_speak():
                quiet_since = now
            settled = now - max(quiet_since, self._watched.changed) >= self.THINKS
            if not shown or not settled or (shown == answered and now - said_at < waits):
                continue
            question = self._question()
            asked.append(question)
            if asked.count(question) > self.GIVES_UP:
                self.failed = f"The assistant did not get past {question!r}."
                return
            answered = shown
            self._say(self.answer(question))
            said_at = quiet_since = time.monotonic()

    def _question(self) -> str:
        """The last spoken question. A screen without words only means that nothing was heard."""
        return next((view.said for view in reversed(self._watched.views) if view.said), "")

    def answer(self, said: str) -> str:
        """The person's answer to this sentence."""
        if self._doubt and self._doubt in said and not self._answers(said):
            heard = _plain(said.rpartition(self._doubt)[2]).removesuffix("inches").removesuffix("inch")
            return "yes" if heard and self._meant.endswith(heard) else "no"
        answer = self._part_for(said)
        self._meant = _plain(answer)
        return answer

    def _answers(self, doubt: str) -> bool:
        """Whether a separate part answers this question."""
        heard = (words for part in self._parts for words in part.hears if self._doubt in words)
        return any(_in(words.lower(), doubt.lower()) for words in heard)

    def _part_for(self, said: str) -> str:
        for part in self._parts:
            if any(_in(heard.lower(), said.lower()) for heard in part.hears):
                if part.once:
                    self._parts.remove(part)
                right = all(value.lower() in said.lower() for value in part.values)
                return part.says if right else part.otherwise
        raise ValueError(f"the person has nothing to say to {said!r}")


def _plain(words: str) -> str:
    """The words without symbols and spaces, for comparison."""
    return re.sub(r"[\W_]", "", words.lower())


def _in(heard: str, said: str) -> bool:
    """Whether the sentence contains `heard`. `^` anchors it at the beginning."""
    return said.startswith(heard[1:]) if heard.startswith("^") else heard in said
