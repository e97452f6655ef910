"""The three front ends of the assistant: typed lines, plain lines with sound, the screen."""

from __future__ import annotations

import io
import logging
import sys
import threading
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from bench.assistant.assembly import Assistant, Options, settings_for
from bench.assistant.log import log_to_file
from bench.assistant.loop import Remember
from bench.assistant.plain import PlainDisplay
from bench.core.notes import BenchError
from bench.data.reading import CUT, MOST_LETTERS, bounded_lines
from bench.dialogue.events import Event, Failed, Key, Pressed, Said
from bench.dialogue.knowledge import Knowledge
from bench.language.meaning import typed
from bench.language.write import written
from bench.memory.store import Store

if TYPE_CHECKING:
    from bench.screen.app import BenchApp

log = logging.getLogger(__name__)


def heard_line(line: str) -> Event:
    """The event for a typed line. An empty line acts as the next key. A line that is too long is not an answer."""
    if len(line) > MOST_LETTERS + len(CUT):
        line = line[:MOST_LETTERS] + CUT
    return Said(typed(line)) if line.strip() else Pressed(Key.NEXT)


def run_typed(
    folder: Path, options: Options, knowledge: Knowledge, lines: Iterable[str], out: TextIO
) -> Assistant:
    """Run the dialogue without sound or screen, line by line, until the lines end or the person is done."""
    assistant = _assistant(folder, options, knowledge, PlainDisplay(out))
    over = threading.Event()
    assistant.performer.on_finish = over.set
    assistant.session.begin()
    for line in lines:
        assistant.session.handle(heard_line(line))
        assistant.settle()
        if over.is_set():
            break
    return assistant


def run_plain(
    folder: Path, options: Options, knowledge: Knowledge, lines: Iterable[str] | None, out: TextIO
) -> Assistant:
    """Run voice and ears with plain lines instead of the screen. When `lines` is None, until the recording ends."""
    assistant = _assistant(folder, options, knowledge, PlainDisplay(out), leave_at_end=lines is None)
    if lines is not None:
        threading.Thread(target=_post_lines, args=(assistant, lines), daemon=True).start()
    assistant.open_voice()
    assistant.open_ears()
    assistant.loop.run()
    return assistant


def run_on_screen(folder: Path, options: Options, knowledge: Knowledge) -> Assistant:
    """Run the whole assistant. Voice and ears get ready in processes and threads of their own meanwhile."""
    store = Store(folder)
    assistant = Assistant(options, knowledge, store, PlainDisplay(io.StringIO()))  # until there is a screen
    assistant.open_voice()
    assistant.open_ears()
    from bench.screen.app import BenchApp
    from bench.screen.themes import Worn

    settings = settings_for(store, options)
    taught = dict(settings.keys)

    def learned(name: str, key: Key) -> None:
        taught[name] = key
        assistant.loop.post(Remember({"keys": dict(taught)}))

    app = BenchApp(
        lambda event: assistant.loop.post(event),
        Worn(settings.theme, settings.letters),
        keys=dict(taught),
        on_learned=learned,
        on_kept=lambda settings: assistant.loop.post(Remember(dict(settings))),
    )
    assistant.ports.display = app
    converse(assistant, app)
    return assistant


def converse(assistant: Assistant, app: BenchApp, open_parts: Callable[[], None] = lambda: None) -> None:
    """Run the screen on this thread and the conversation on another, until either ends."""

    def talk() -> None:
        try:
            open_parts()
            assistant.loop.run()
        except Exception:
            log.exception("the conversation ended with an error")
        finally:
            app.leave()

    thread = threading.Thread(target=talk, name="assistant", daemon=True)
    thread.start()
    app.run()
    assistant.loop.stop()
    thread.join(5)


def _assistant(
    folder: Path, options: Options, knowledge: Knowledge, display: PlainDisplay, leave_at_end: bool = False
) -> Assistant:
    """Open the assistant on a folder of jobs. The folder is released again if the list of sticks is refused."""
    store = Store(folder)
    try:
        return Assistant(options, knowledge, store, display, leave_at_end)
    except BenchError:
        store.close()
        raise


def _post_lines(assistant: Assistant, lines: Iterable[str]) -> None:
    try:
        for line in lines:
            assistant.loop.post(heard_line(line))
    except BenchError as error:
        assistant.loop.post(Failed("keyboard", written(error.message), written(error.remedy)))


def quiet_terminal() -> None:
    """Redirect the output of libraries and the log to files, away from the screen."""
    from bench.audio.portaudio import keep_terminal_clean

    log_to_file()
    keep_terminal_clean()


def interactive(lines: TextIO = sys.stdin) -> Iterable[str]:
    """Lines as they are typed, with a prompt on a terminal. An interrupt ends them."""
    try:
        if not lines.isatty():
            yield from bounded_lines(lines)
            return
        while True:
            yield input("> ")
    except (EOFError, KeyboardInterrupt):
        return
