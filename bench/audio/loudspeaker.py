"""The assistant's side of the loudspeaker, which is played by a helper process."""

from __future__ import annotations

import contextlib
import threading
from collections.abc import Callable, Iterator

from bench.audio import pipes
from bench.audio.sound import Sound
from bench.core.notes import BenchError

OPEN_WITHIN_S = 10.0

SENDS_WITHIN_S = 3.0
"""Seconds that a message may take to be sent. The helper reads at once, so one that takes longer has stopped."""

_HUSH_WITHIN_S = 0.1
"""Seconds after which a helper that accepts no message is ended, which also silences it."""


class Loudspeaker:
    """An open output device. `on_done(turn)` and `on_lost(reason)` are called from a separate thread.

    Opening raises BenchError (`speaker_missing`) when there is no device or no sound library. After that nothing
    raises: a playback failure calls `on_lost` once.
    """

    def __init__(
        self, wanted: str | None, on_done: Callable[[int], None], on_lost: Callable[[str], None]
    ) -> None:
        self.process = pipes.start("bench.audio.playback_process", *([wanted] if wanted else []))
        self._lock = threading.Lock()
        self._closed = False
        told = self._opened()
        self.device: str = told["device"]
        self.rate: int = told["rate"]
        self.latency: float = told["latency"]
        self.stands_in: bool = told["stands_in"]
        self.underruns = 0
        self._on_done, self._on_lost = on_done, on_lost
        threading.Thread(target=self._listen, name="loudspeaker", daemon=True).start()

    def play(self, turn: int, sound: Sound, last: bool) -> None:
        """Queue a segment of a turn. A new turn cuts off the previous one."""
        self._send({"do": "play", "turn": turn, "last": last}, sound.at(self.rate).samples.tobytes())

    def tone(self, sound: Sound) -> None:
        """Play a short tone over what is playing."""
        self._send({"do": "tone"}, sound.at(self.rate).samples.tobytes())

    def gain(self, decibels: float) -> None:
        """Set the level in decibels relative to full scale."""
        self._send({"do": "gain", "gain": 10 ** (decibels / 20)})

    def hush(self) -> None:
        """Stop playback at once. Does not block for long."""
        if not self._lock.acquire(timeout=_HUSH_WITHIN_S):
            self.process.kill()
            return
        self._lock.release()
        self._send({"do": "hush"})

    def close(self) -> None:
        """Release the device."""
        self._closed = True
        self.process.kill()

    def _send(self, message: pipes.Message, data: bytes = b"") -> None:
        assert self.process.stdin is not None
        ignored = contextlib.suppress(OSError, ValueError)  # the listener reports the end
        with self._lock, ignored, self._ended_after(SENDS_WITHIN_S):
            pipes.send(self.process.stdin, message, data)

    @contextlib.contextmanager
    def _ended_after(self, seconds: float) -> Iterator[None]:
        """End the helper if what is done here takes longer."""
        late = threading.Timer(seconds, self.process.kill)
        late.daemon = True
        late.start()
        try:
            yield
        finally:
            late.cancel()

    def _opened(self) -> pipes.Message:
        assert self.process.stdout is not None
        told = None
        with contextlib.suppress(OSError, ValueError), self._ended_after(OPEN_WITHIN_S):
            told = pipes.receive(self.process.stdout)
        if told is not None and told[0]["event"] == "open":
            return told[0]
        pipes.end(self.process)
        if told is None:
            message, remedy = "The speaker does not respond.", "Bench keeps trying. See: bench doctor"
        else:
            message, remedy = told[0]["message"], told[0]["remedy"]
        raise BenchError(message, remedy, code="speaker_missing")

    def _listen(self) -> None:
        assert self.process.stdout is not None
        reason = "the player ended"
        with contextlib.suppress(OSError, ValueError):
            while (told := pipes.receive(self.process.stdout)) is not None:
                if told[0]["event"] == "done":
                    self.underruns = told[0]["underruns"]
                    self._on_done(told[0]["turn"])
                else:
                    reason = told[0]["reason"]
        with self._lock:
            pipes.end(self.process)
        if not self._closed:
            self._on_lost(reason)
