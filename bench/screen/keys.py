"""Meanings of keys, assigned keys of a pedal or clicker, and detection of a held key."""

from __future__ import annotations

from collections.abc import Mapping

from bench.dialogue.effects import Look
from bench.dialogue.events import Key

KEYS: Mapping[str, Key] = {
    "space": Key.NEXT,
    "pagedown": Key.NEXT,
    "right": Key.NEXT,
    "down": Key.NEXT,
    "enter": Key.NEXT,
    "pageup": Key.BACK,
    "left": Key.BACK,
    "up": Key.BACK,
    "backspace": Key.BACK,
    "y": Key.YES,
    "n": Key.NO,
    "r": Key.REPEAT,
    "p": Key.PAUSE,
    "h": Key.HELP,
    "question_mark": Key.HELP,
    "u": Key.UNITS,
    "q": Key.QUIT,
    "ctrl+q": Key.QUIT,
    "ctrl+c": Key.QUIT,
}
"""Meanings by the terminal's key name. Pedals and clickers send Space, Page Down and arrows by default."""

LEARN_KEY = "l"
THEME_KEY = "t"
MENU_KEY = "m"

LOOKS: Mapping[str, Look] = {"plus": Look.BIGGER, "b": Look.BIGGER, "s": Look.SMALLER}
"""Keys for larger and smaller letters."""

LESSON = (Key.NEXT, Key.BACK, Key.REPEAT, Key.PAUSE)
"""The meanings assigned to a pedal or clicker, in this order."""

RESERVED = frozenset({"escape", "ctrl+c", "ctrl+q"})
"""Keys that cannot be assigned: the ways out."""


class Held:
    """Tells a new press from the repeats of a key that is held down.

    A terminal sends no key-up event: a foot resting on a pedal sends its key thirty times a second, after an
    initial delay of a quarter to two thirds of a second. No repeat may advance to the next mark.
    """

    def __init__(self, seconds: float = 0.6) -> None:
        """A press within `seconds` of the previous press of the same key is a repeat."""
        self._seconds = seconds
        self._last: dict[str, float] = {}

    def repeats(self, key: str, now: float) -> bool:
        """Whether this press, at clock time `now` in seconds, repeats the previous one."""
        before = self._last.get(key)
        self._last[key] = now
        return before is not None and 0 <= now - before < self._seconds
