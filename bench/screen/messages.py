"""What other threads may tell the screen. Of each kind only the latest counts: a burst leaves one message."""

from __future__ import annotations

from textual.message import Message

from bench.dialogue.effects import Look, View
from bench.dialogue.events import Key
from bench.screen.meter import Sound


class _Latest(Message):
    """A message that a later one of its kind replaces while it waits."""

    def can_replace(self, message: Message) -> bool:
        """Whether this one may take the place of `message` in the queue."""
        return type(message) is type(self)


class NewView(_Latest, bubble=False):
    """A new screenful."""

    def __init__(self, view: View) -> None:
        super().__init__()
        self.view = view


class NewLevel(_Latest, bubble=False):
    """The sound now."""

    def __init__(self, sound: Sound) -> None:
        super().__init__()
        self.sound = sound


class NewWords(_Latest, bubble=False):
    """Words being heard; nothing when it has fallen silent."""

    def __init__(self, words: str) -> None:
        super().__init__()
        self.words = words


class NewNotice(_Latest, bubble=False):
    """Something worth a line for a moment."""

    def __init__(self, words: str) -> None:
        super().__init__()
        self.words = words


class NewLesson(_Latest, bubble=False):
    """Teach a pedal or clicker these keys, one after the other."""

    def __init__(self, keys: tuple[Key, ...]) -> None:
        super().__init__()
        self.keys = keys


class NewLook(Message, bubble=False):
    """Other colors, or larger or smaller letters: every one counts."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        self.look = look


class Leave(_Latest, bubble=False):
    """Close the screen."""
