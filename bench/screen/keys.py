"""What each key means, what a pedal or clicker was taught to mean, and which presses are only a held key."""

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
"""By the terminal's name of the key. Pedals and clickers send Space, Page Down and arrows as they come."""

LEARN_KEY = "l"
THEME_KEY = "t"
MENU_KEY = "m"

LOOKS: Mapping[str, Look] = {"plus": Look.BIGGER, "b": Look.BIGGER, "s": Look.SMALLER}
"""Keys for larger and smaller letters."""

LESSON = (Key.NEXT, Key.BACK, Key.REPEAT, Key.PAUSE)
"""What a pedal or clicker is taught, in this order."""

RESERVED = frozenset({"escape", "ctrl+c", "ctrl+q"})
"""Never taught: the ways out."""


class Held:
    """Tells a fresh press from the repeats of a key that is held down.

    A terminal sends no key-up: a foot resting on a pedal sends its key thirty times a second, after a first
    wait of a quarter to two thirds of a second. None of those may step on to the next mark.
    """

    def __init__(self, seconds: float = 0.6) -> None:
        """Presses of one key closer than `seconds` to the one before are repeats."""
        self._seconds = seconds
        self._last: dict[str, float] = {}

    def repeats(self, key: str, now: float) -> bool:
        """Whether this press, at `now` on a clock of seconds, only repeats the one before."""
        before = self._last.get(key)
        self._last[key] = now
        return before is not None and 0 <= now - before < self._seconds
