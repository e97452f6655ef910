"""The microphone, owned by a helper process so that a device failure cannot end Bench."""

from __future__ import annotations

import json
import queue
import subprocess
import threading
from typing import IO

import numpy as np

from bench.audio import pipes
from bench.audio.samples import Samples
from bench.core.notes import BenchError

_BLOCK = 640
"""Bytes per read: 20 ms."""
_OPENS_WITHIN = 15.0
"""Seconds to open the device. A wireless headset is slow."""
_QUEUED = 500
_REMEDY = "Check that it is plugged in and not in use by another program. Bench tries again by itself."


class MicrophoneSource:
    """A sound input chosen by part of its name, or the default one.

    A lost device raises nothing here: `read` returns None, and the ears close and reopen it.
    """

    waits = False

    def __init__(self, wanted: str | None = None) -> None:
        self._wanted = wanted
        self._name = wanted or "microphone"
        self._queue: queue.Queue[bytes] = queue.Queue(_QUEUED)
        self._process: subprocess.Popen[bytes] | None = None
        self._begun = False

    @property
    def name(self) -> str:
        """The device's name once it is open."""
        return self._name

    def begin(self) -> None:
        """Start opening the device without waiting, so that `open` takes less time later."""
        self.close()
        self._process = self._started()
        self._begun = True

    def open(self) -> None:
        """Find and start the device. Raises BenchError when it is missing or cannot be opened."""
        if not self._begun:
            self.begin()
        self._begun = False
        assert self._process is not None
        pipe = self._process.stdout
        assert pipe is not None
        self._name = self._opened(pipe)
        self._queue = queue.Queue(_QUEUED)
        threading.Thread(target=_pump, args=(pipe, self._queue), name="microphone", daemon=True).start()

    def read(self, timeout: float) -> Samples | None:
        """The next block at 16 kHz, or None when the device delivered nothing for `timeout` seconds."""
        try:
            return np.frombuffer(self._queue.get(timeout=timeout), np.int16)
        except queue.Empty:
            return None

    def close(self) -> None:
        """Stop the device; never raises."""
        self._begun = False
        process, self._process = self._process, None
        if process is not None:
            process.kill()
            process.wait()

    def _started(self) -> subprocess.Popen[bytes]:
        return subprocess.Popen(
            pipes.command("bench.audio.capture_process", *([self._wanted] if self._wanted else [])),
            env=pipes.environment(),
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
        )

    def _opened(self, pipe: IO[bytes]) -> str:
        """The device's name, which the helper reports once it is open."""
        assert self._process is not None
        late = threading.Timer(_OPENS_WITHIN, self._process.kill)
        late.start()
        line = pipe.readline()
        late.cancel()
        try:
            told = json.loads(line)
        except ValueError:
            told = {}
        if "name" in told:
            return str(told["name"])
        self.close()
        message = told.get("error", f"The microphone {self._name} does not respond.")
        raise BenchError(message, told.get("try", _REMEDY), code=told.get("code", "microphone_failed"))


def _pump(pipe: IO[bytes], blocks: queue.Queue[bytes]) -> None:
    """Move sound from the helper to the queue until the helper ends. Drops sound when the queue is full."""
    with pipe:
        while data := pipe.read(_BLOCK):
            if len(data) % 2 == 0 and not blocks.full():
                blocks.put(data)
