"""The screen application. It accepts views, levels and words from any thread and reports key presses and taps."""

from __future__ import annotations

import os
import threading
import time
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import replace
from typing import ClassVar

from textual.app import App, ComposeResult
from textual.binding import BindingType
from textual.events import Key as KeyPress
from textual.message import Message
from textual.timer import Timer

from bench.data.screen_words import screen_words
from bench.dialogue.effects import Look, View
from bench.dialogue.events import Event, Key, Pressed, Said
from bench.language.meaning import typed
from bench.screen.canvas import Canvas, Tapped
from bench.screen.keys import KEYS, LEARN_KEY, LESSON, LOOKS, MENU_KEY, RESERVED, THEME_KEY, Held
from bench.screen.messages import Leave, NewLesson, NewLevel, NewLook, NewNotice, NewView, NewWords
from bench.screen.meter import QUIET_OVER_FLOOR, Sound
from bench.screen.page import Live, shown_in_menu
from bench.screen.sharing import LARGEST_LETTERS, SMALLEST_LETTERS
from bench.screen.targets import Act, Own
from bench.screen.themes import ThemeName, Worn, palette

METER_SECONDS = 0.1
"""Seconds between repaints of the meter: at most ten per second."""

DEAF_SECONDS = 1.5
"""Seconds without a level after which the meter reports that no sound arrives."""

OLD_SECONDS = 8.0
"""Seconds after which the transcript is dimmed."""

NOTICE_SECONDS = 4.0
"""Seconds that a notice stays, and in which a second press of quit confirms the first."""

CLOSE_SECONDS = 3.0
"""Seconds without a confirmation of quit after which the screen closes by itself."""

ENTRY_STARTS = frozenset("0123456789/.:'\"-")
"""Characters that start a typed line; ":" starts one of words."""


class BenchApp(App[None]):
    """The assistant's screen.

    `on_event` is called on the screen's thread with each press, tap or typed line and must return at once. `keys`
    maps keys of a pedal or clicker, by the terminal's name, to their assigned meaning and overrides the default
    keys. `on_learned` receives each newly assigned pair and `on_kept` each new look, as settings to store. `show`,
    `level`, `hearing`, `notice`, `restyle`, `learn` and `leave` may be called from any thread, before the screen
    is up and after it has closed.
    """

    ENABLE_COMMAND_PALETTE = False
    BINDINGS: ClassVar[list[BindingType]] = []
    CSS = "Screen { overflow: hidden; }"

    def __init__(
        self,
        on_event: Callable[[Event], None],
        worn: Worn | None = None,
        keys: Mapping[str, Key] | None = None,
        on_learned: Callable[[str, Key], None] | None = None,
        on_kept: Callable[[Mapping[str, object]], None] = lambda settings: None,
        plain_only: bool | None = None,
        held_seconds: float = 0.6,
    ) -> None:
        super().__init__()
        self._on_event = on_event
        self._on_learned = on_learned
        self._on_kept = on_kept
        worn = worn or Worn()
        self._worn = worn.theme
        self._taught = dict(keys or {})
        self._held = Held(held_seconds)
        self._canvas = Canvas(
            palette(worn.theme), poor_terminal(os.environ) if plain_only is None else plain_only
        )
        self._view = View(verb=screen_words().start, number="...")
        self._live = Live(letters=worn.letters)
        self._lesson: tuple[Key, ...] = ()
        self._notice_timer: Timer | None = None
        self._quit_asked = 0.0
        self._last_level = 0.0
        self._meter_due = False
        self._heard_at = 0.0
        self._lock = threading.Lock()
        self._waiting: dict[type[Message], Message] | None = {}

    # From any thread

    def show(self, view: View) -> None:
        """Show a view."""
        self._tell(NewView(view))

    def level(self, dbfs: float, floor: float, clipped: bool = False) -> None:
        """Set the current sound level and noise floor (dBFS), and whether the sound was clipped."""
        self._tell(NewLevel(Sound(dbfs, floor, clipped)))

    def hearing(self, words: str) -> None:
        """Show a partial transcript. An empty text removes it."""
        self._tell(NewWords(words))

    def notice(self, words: str) -> None:
        """Show a line briefly."""
        self._tell(NewNotice(words))

    def restyle(self, look: Look) -> None:
        """Change the colors or the size of the letters, and have the choice stored."""
        self._tell(NewLook(look))

    def learn(self, keys: tuple[Key, ...] = LESSON) -> None:
        """Assign the keys of a pedal or clicker: ask for a press for each of `keys`."""
        self._tell(NewLesson(keys))

    def leave(self) -> None:
        """Close the screen."""
        self._tell(Leave())

    def _tell(self, message: Message) -> None:
        """Post a message. Before the screen is up the latest of each kind is queued; after it closed, dropped."""
        with self._lock:
            if self._waiting is not None:
                self._waiting[type(message)] = message
                return
        if self.is_running:
            with suppress(RuntimeError):  # the screen has just closed
                self.post_message(message)

    # On the screen's own thread

    def compose(self) -> ComposeResult:
        """Yield the only widget."""
        yield self._canvas

    def on_mount(self) -> None:
        """Show what was posted before the screen was up."""
        with self._lock:
            waiting, self._waiting = self._waiting or {}, None
        self.set_interval(METER_SECONDS, self._beat)
        self._paint()
        for message in waiting.values():
            self.post_message(message)

    def on_new_view(self, message: NewView) -> None:
        """Show a new view, which replaces any partial transcript."""
        self._view = message.view
        self._live = replace(self._live, hearing="", menu=None, page=0, stale=False, faint=False)
        self._heard_at = time.monotonic()
        self._paint()

    def on_new_level(self, message: NewLevel) -> None:
        """Store the level; the meter is repainted at its own rate. Speech is faint until it rises above the noise."""
        loud = message.sound.dbfs >= message.sound.floor + QUIET_OVER_FLOOR
        self._live = replace(self._live, sound=message.sound, faint=self._live.faint and not loud)
        self._last_level = time.monotonic()
        self._meter_due = True

    def on_new_words(self, message: NewWords) -> None:
        """Show a partial transcript and start judging whether the speech is faint."""
        begins = bool(message.words) and not self._live.hearing
        faint = (begins or self._live.faint) and bool(message.words)
        self._live = replace(self._live, hearing=message.words, faint=faint)
        self._paint()

    def on_new_notice(self, message: NewNotice) -> None:
        """Show a line that disappears by itself."""
        self._notice(message.words)

    def on_new_look(self, message: NewLook) -> None:
        """Change colors or size of letters."""
        self._restyle(message.look)

    def on_new_lesson(self, message: NewLesson) -> None:
        """Ask for the first key of a lesson."""
        self._teach(message.keys)

    def on_leave(self) -> None:
        """Close."""
        self.exit()

    def on_tapped(self, message: Tapped) -> None:
        """Act on a tap. A bouncing glove counts once."""
        if not self._held.repeats(f"tap {message.act}", time.monotonic()):
            self._act(message.act)

    def _act(self, act: Act) -> None:
        """Carry out a key, a menu action or a spoken phrase."""
        if isinstance(act, Key):
            self._put(menu=None)
            self._pressed(act)
        elif isinstance(act, Own):
            self._turn_over(act)
        else:
            self._put(menu=None)
            self._on_event(Said(typed(act)))

    def _turn_over(self, act: Own) -> None:
        """Open, page or close the menu, or show the next page of tiles."""
        if act is Own.MORE and self._live.menu is None:
            self._put(page=self._live.page + 1)
            return
        page = 0 if self._live.menu is None else self._live.menu + 1
        self._put(menu=None if act is Own.CLOSE else page)

    async def on_key(self, event: KeyPress) -> None:
        """Handle a key: part of a lesson, part of a typed line, or a key with its own meaning."""
        event.stop()
        event.prevent_default()
        if self._lesson:
            self._learned(event.key)
        elif self._live.entry is not None:
            self._typing(event)
        elif not self._chose(event):
            self._plain_key(event)

    async def action_quit(self) -> None:
        """Ask before quitting, also for the usual quit keys of a terminal program."""
        self._pressed(Key.QUIT)

    def action_help_quit(self) -> None:
        """Handle Ctrl+C."""
        self._pressed(Key.QUIT)

    def _chosen(self, digit: str) -> str | None:
        """The phrase with this number, if phrases are numbered."""
        phrases = self._view.choices
        if self._live.menu is not None:
            phrases = shown_in_menu(self._view, *self._canvas.size, self._live.menu)
        if self._view.paused or not digit.isdigit() or not digit.isascii():
            return None
        at = (int(digit) or 10) - 1
        return phrases[at] if at < len(phrases) else None

    def _chose(self, event: KeyPress) -> bool:
        """Choose a phrase, or open or close the menu. True when the key did so."""
        chosen: Act | None = self._chosen(event.character or "")
        if event.key == MENU_KEY and event.key not in self._taught:
            chosen = Own.MENU if self._live.menu is None else Own.CLOSE
        elif event.key == "escape" and self._live.menu is not None:
            chosen = Own.CLOSE
        if chosen is not None and not self._held.repeats(event.key, time.monotonic()):
            self._act(chosen)
        return chosen is not None

    def _plain_key(self, event: KeyPress) -> None:
        meaning = self._taught.get(event.key) or KEYS.get(event.key)
        if meaning is not None:
            if not self._held.repeats(event.key, time.monotonic()):
                self._pressed(meaning)
        elif event.key == LEARN_KEY:
            self._teach(LESSON)
        elif event.key == THEME_KEY:
            names = list(ThemeName)
            self._restyle(Look(names[(names.index(ThemeName(self._worn)) + 1) % len(names)]))
        elif event.key in LOOKS:
            self._restyle(LOOKS[event.key])
        elif event.character and event.character in ENTRY_STARTS:
            self._put(entry=event.character.lstrip(":"))
        elif event.key != "escape":
            self._notice(screen_words().unknown_key.format(key=event.key, learn=LEARN_KEY))

    def _pressed(self, key: Key) -> None:
        if key is not Key.QUIT:
            self._on_event(Pressed(key))
        elif time.monotonic() - self._quit_asked < NOTICE_SECONDS:
            self._on_event(Pressed(Key.QUIT))
            self.set_timer(CLOSE_SECONDS, self.exit)
        else:
            self._quit_asked = time.monotonic()
            self._notice(screen_words().quit_again)

    def _typing(self, event: KeyPress) -> None:
        line = self._live.entry or ""
        if event.key == "escape" or (event.key == "backspace" and not line):
            self._put(entry=None)
        elif event.key == "backspace":
            self._put(entry=line[:-1])
        elif event.key == "enter":
            self._put(entry=None)
            if line.strip():
                self._on_event(Said(typed(line)))
        elif event.is_printable and event.character:
            self._put(entry=line + event.character)

    def _teach(self, keys: tuple[Key, ...]) -> None:
        self._lesson = keys
        self._put(learning=keys[0] if keys else None, entry=None)

    def _learned(self, key: str) -> None:
        if key not in RESERVED:
            self._taught[key] = self._lesson[0]
            self._held.repeats(key, time.monotonic())
            if self._on_learned is not None:
                self._on_learned(key, self._lesson[0])
        self._teach(self._lesson[1:])

    def _restyle(self, look: Look) -> None:
        """Apply new colors, or letters one size larger or smaller. Both are stored."""
        if look in (Look.BIGGER, Look.SMALLER):
            letters = self._live.letters + (1 if look is Look.BIGGER else -1)
            self._put(letters=max(SMALLEST_LETTERS, min(LARGEST_LETTERS, letters)))
            self._notice(screen_words().letters[self._live.letters - SMALLEST_LETTERS])
            self._on_kept({"letters": self._live.letters})
            return
        self._worn = look.value
        self._canvas.wear(palette(self._worn))
        self._notice(screen_words().colors.format(theme=self._worn))
        self._on_kept({"theme": self._worn})

    def _notice(self, text: str) -> None:
        if self._notice_timer is not None:
            self._notice_timer.stop()
        self._notice_timer = self.set_timer(NOTICE_SECONDS, lambda: self._put(notice=""))
        self._put(notice=text)

    def _beat(self) -> None:
        """Repaint a changed meter, report when no sound arrives, and dim an old transcript."""
        if self._view.heard and not self._live.stale and time.monotonic() - self._heard_at > OLD_SECONDS:
            self._put(stale=True)
        if self._live.sound is not None and time.monotonic() - self._last_level > DEAF_SECONDS:
            self._live = replace(self._live, sound=None)
            self._meter_due = True
        if self._meter_due:
            self._meter_due = False
            self._paint()

    def _put(self, **changes: object) -> None:
        self._live = replace(self._live, **changes)  # type: ignore[arg-type]
        self._paint()

    def _paint(self) -> None:
        if self._canvas.is_attached:
            self._canvas.put(self._view, self._live)


def poor_terminal(environ: Mapping[str, str]) -> bool:
    """Whether the terminal has no block characters, because of its type or its encoding."""
    kind = environ.get("TERM", "")
    if kind in {"linux", "dumb", "vt100", "vt102", "vt220", "ansi", "cons25"}:
        return True
    locale = next((environ[name] for name in ("LC_ALL", "LC_CTYPE", "LANG") if environ.get(name)), "")
    encoding = locale.rpartition(".")[2].lower().replace("-", "")
    return "." in locale and encoding not in {"utf8", "utf8@euro"}
