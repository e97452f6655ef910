"""The process of the second recognizer, seen from outside: begun, written to by a thread of its own, ended.

Whoever asks never waits: a process that is stopped, or too busy to read, would hold up whoever writes to it once its
pipe is full. What is to be sent waits in a short queue; a process that does not take it in time is killed.
"""

from __future__ import annotations

import contextlib
import logging
import queue
import threading
from collections.abc import Callable, Iterator
from pathlib import Path

from bench.audio import pipes
from bench.core.notes import BenchError

log = logging.getLogger(__name__)

Made = Callable[[], tuple[pipes.Message, bytes]]
"""Makes a message and its data, in the sending thread: a wide grammar takes a while to write down."""

LOADS_WITHIN = 20.0
READS_WITHIN = 3.0
"""Seconds that the process may take to read a message; it reads while it works, so it is never busy for so long."""
_WAITING = 16
"""Messages that may wait; more means that it does not read."""
REMEDY = "Bench goes on with one recognizer, and tries again by itself."


class Helper:
    """A running process with the model in `folder`. Raises BenchError when it does not come up."""

    def __init__(self, folder: Path) -> None:
        self.process = pipes.start("bench.ears.second.process", str(folder))
        self.stuck = False
        """Whether it was killed because it did nothing any more."""
        self._waiting: queue.Queue[Made | None] = queue.Queue(_WAITING)
        self._thread = threading.Thread(target=self._send_all, name="to the second recognizer", daemon=True)
        try:
            self._come_up()
        except BaseException:
            pipes.end(self.process)
            raise
        self._thread.start()

    def send(self, made: Made) -> bool:
        """Have a message sent; returns at once. False when the process does not read: it is killed then."""
        try:
            self._waiting.put_nowait(made)
        except queue.Full:
            self.give_up()
            return False
        return True

    def answers(self) -> Iterator[pipes.Message]:
        """What it tells, until it ends."""
        assert self.process.stdout is not None
        with contextlib.suppress(OSError, ValueError):
            while (told := pipes.receive(self.process.stdout)) is not None:
                yield told[0]

    def give_up(self) -> None:
        """Kill it: it does not do its work. `answers` ends."""
        self.stuck = True
        self.process.kill()

    def end(self) -> None:
        """End the process and the thread that writes to it."""
        self.process.kill()
        with contextlib.suppress(queue.Full):
            self._waiting.put_nowait(None)
        self._thread.join(READS_WITHIN)
        pipes.end(self.process)

    def _come_up(self) -> None:
        assert self.process.stdout is not None
        late = threading.Timer(LOADS_WITHIN, self.process.kill)
        late.start()
        told = pipes.receive(self.process.stdout)
        late.cancel()
        if told is None or told[0]["event"] != "ready":
            message = told[0]["message"] if told else "The second recognizer does not start."
            raise BenchError(message, REMEDY, code="second_failed")

    def _send_all(self) -> None:
        """Write what waits, until the end or until it cannot be written."""
        assert self.process.stdin is not None
        while (made := self._waiting.get()) is not None:
            late = threading.Timer(READS_WITHIN, self.give_up)
            try:
                message, data = made()
                late.start()
                pipes.send(self.process.stdin, message, data)
            except (OSError, ValueError):
                return  # it has ended; whoever takes its answers notices
            except Exception:
                log.exception("a message to the second recognizer could not be made")
                self.give_up()
                return
            finally:
                late.cancel()
