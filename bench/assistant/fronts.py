"""The three ways to sit in front of the assistant: typed lines, plain lines with sound, the screen."""

from __future__ import annotations

import logging
import sys
import threading
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from bench.assistant.log import log_to_file
from bench.assistant.loop import Remember
from bench.assistant.plain import PlainDisplay
from bench.assistant.start import House, Options, settings_for
from bench.dialogue.events import Event, Key, Pressed, Said
from bench.dialogue.knowledge import Knowledge
from bench.language.meaning import typed
from bench.memory.store import Store

if TYPE_CHECKING:
    from bench.screen.app import BenchApp

log = logging.getLogger(__name__)


def heard_line(line: str) -> Event:
    """A typed line is what the person says; an empty one is the next key."""
    return Said(typed(line)) if line.strip() else Pressed(Key.NEXT)


def run_typed(folder: Path, options: Options, k: Knowledge, lines: Iterable[str], out: TextIO) -> House:
    """The dialogue without sound or screen, line by line, until the lines end or the person is done."""
    store = Store(folder)
    house = House(options, k, store, PlainDisplay(out))
    over = threading.Event()
    house.hands.on_finish = over.set
    house.session.begin()
    for line in lines:
        house.session.handle(heard_line(line))
        house.settle()
        if over.is_set():
            break
    return house


def run_plain(
    folder: Path, options: Options, k: Knowledge, lines: Iterable[str] | None, out: TextIO
) -> House:
    """Voice and ears with plain lines in place of the screen; with `lines` none, until the recording ends."""
    store = Store(folder)
    house = House(options, k, store, PlainDisplay(out), leave_at_end=lines is None)
    if lines is not None:
        threading.Thread(target=_post_lines, args=(house, lines), daemon=True).start()
    house.open_voice()
    house.open_ears()
    house.loop.run()
    return house


def run_on_screen(folder: Path, options: Options, k: Knowledge) -> House:
    """The whole assistant: the screen at once, then the voice, then the ears when their model is loaded."""
    from bench.screen.app import BenchApp

    store = Store(folder)
    settings = settings_for(store, options)
    taught = dict(settings.keys)

    def learned(name: str, key: Key) -> None:
        taught[name] = str(key)
        house.loop.post(Remember({"keys": dict(taught)}))

    app = BenchApp(
        lambda event: house.loop.post(event),
        theme=settings.theme,
        keys={name: Key(key) for name, key in taught.items()},
        on_learned=learned,
    )
    house = House(options, k, store, app)

    def open_rooms() -> None:
        house.open_voice()
        house.open_ears()

    converse(house, app, open_rooms)
    return house


def converse(house: House, app: BenchApp, open_rooms: Callable[[], None]) -> None:
    """The screen on this thread, the conversation on another, until either ends."""

    def talk() -> None:
        try:
            open_rooms()
            house.loop.run()
        except Exception:
            log.exception("the conversation ended by a fault")
        finally:
            app.leave()

    thread = threading.Thread(target=talk, name="assistant", daemon=True)
    thread.start()
    app.run()
    house.loop.stop()
    thread.join(5)


def _post_lines(house: House, lines: Iterable[str]) -> None:
    for line in lines:
        house.loop.post(heard_line(line))


def quiet_terminal() -> None:
    """From now on libraries and the log write to files, not over the screen."""
    from bench.portaudio import keep_terminal_clean

    log_to_file()
    keep_terminal_clean()


def interactive(lines: TextIO = sys.stdin) -> Iterable[str]:
    """Lines as they are typed, with a prompt where a person sits at it; interrupting ends them."""
    try:
        if not lines.isatty():
            yield from lines
            return
        while True:
            yield input("> ")
    except (EOFError, KeyboardInterrupt):
        return
