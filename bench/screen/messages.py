"""Messages from other threads to the screen. Only the latest of each kind counts, so a burst leaves one message."""

from __future__ import annotations

from textual.message import Message

from bench.dialogue.effects import Look, View
from bench.dialogue.events import Key
from bench.screen.meter import Sound


class _Latest(Message):
    """A queued message that is replaced by a later one of its kind."""

    def can_replace(self, message: Message) -> bool:
        """Whether this message may replace `message` in the queue."""
        return type(message) is type(self)


class NewView(_Latest, bubble=False):
    """A new view."""

    def __init__(self, view: View) -> None:
        super().__init__()
        self.view = view


class NewLevel(_Latest, bubble=False):
    """The current sound level."""

    def __init__(self, sound: Sound) -> None:
        super().__init__()
        self.sound = sound


class NewWords(_Latest, bubble=False):
    """A partial transcript, empty after silence."""

    def __init__(self, words: str) -> None:
        super().__init__()
        self.words = words


class NewNotice(_Latest, bubble=False):
    """A brief notice."""

    def __init__(self, words: str) -> None:
        super().__init__()
        self.words = words


class NewLesson(_Latest, bubble=False):
    """Assign these keys of a pedal or clicker, one after the other."""

    def __init__(self, keys: tuple[Key, ...]) -> None:
        super().__init__()
        self.keys = keys


class NewLook(Message, bubble=False):
    """A change of colors or of letter size. Every one counts."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        self.look = look


class Leave(_Latest, bubble=False):
    """Close the screen."""
