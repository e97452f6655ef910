"""The helper process that owns the microphone. It stays open at its native rate; sound is resampled to 16 kHz.

In a separate process, a sound system that crashes under an open stream does no other harm. After a loss, a new
process sees the devices present now (PortAudio lists devices once per process). Run by `bench.audio.microphone`,
which reads one line of JSON and then 16-bit samples from it.
"""

from __future__ import annotations

import json
import os
import queue
import sys
from typing import Any

import numpy as np
import soxr

from bench.audio import portaudio
from bench.audio.samples import RATE, Samples
from bench.core.notes import BenchError
from bench.language.write import written

_QUEUED = 400
"""Blocks of about 10 ms that are queued before new ones are dropped."""
_LATENCY = 0.05
_GONE = 5.0
"""Seconds without any sound after which the process ends by itself."""
_REMEDY = "Check that it is plugged in and not in use by another program. Bench tries again by itself."


def main() -> None:
    """Send sound from microphone `argv[1]`, or the default one, until the pipe closes or the device is lost."""
    pipe = os.dup(1)
    os.dup2(2, 1)  # no other output may get into the sound
    try:
        capture = Capture(sys.argv[1] if len(sys.argv) > 1 else None)
    except BenchError as error:
        _write(
            pipe, _line({"error": written(error.message), "try": written(error.remedy), "code": error.code})
        )
        return
    try:
        _write(pipe, _line({"name": capture.name}))
        while (block := capture.read(_GONE)) is not None:
            _write(pipe, block.tobytes())
    except BrokenPipeError:
        pass  # the assistant has ended
    os._exit(0)  # closing a dead device can hang; the system releases it anyway


class Capture:
    """An open input stream. `lost` counts blocks dropped by the system or the queue. Raises BenchError."""

    def __init__(self, wanted: str | None) -> None:
        self.lost = 0
        self._queue: queue.Queue[bytes] = queue.Queue(_QUEUED)
        sounddevice = portaudio.sounddevice()
        device = portaudio.choose("input", wanted)
        self.name = device.name
        try:
            self._stream = self._opened(device)
            self._stream.start()
        except (sounddevice.PortAudioError, ValueError) as error:
            message = f"The microphone {device.name!r} cannot be opened: {error}"
            raise BenchError(message, _REMEDY, code="microphone_failed") from error
        self._resample = (
            None if device.rate == RATE else soxr.ResampleStream(device.rate, RATE, 1, dtype="int16")
        )

    def read(self, timeout: float) -> Samples | None:
        """The next block at 16 kHz, or None when the device delivered nothing for `timeout` seconds."""
        try:
            block = np.frombuffer(self._queue.get(timeout=timeout), np.int16)
        except queue.Empty:
            return None
        if self._channels > 1:
            block = np.ascontiguousarray(block[:: self._channels])
        if self._resample is None:
            return block
        resampled: Samples = self._resample.resample_chunk(block)
        return resampled

    def _opened(self, device: portaudio.Device) -> Any:
        """Open the stream in mono if the device allows it, else with all channels, of which the first is used."""
        try:
            return self._stream_of(device, 1)
        except portaudio.sounddevice().PortAudioError:
            return self._stream_of(device, device.channels)

    def _stream_of(self, device: portaudio.Device, channels: int) -> Any:
        self._channels = channels
        return portaudio.sounddevice().RawInputStream(
            samplerate=device.rate,
            device=device.index,
            channels=channels,
            dtype="int16",
            latency=_LATENCY,
            callback=self._copy,
        )

    def _copy(self, data: Any, frames: int, time: object, status: object) -> None:
        """PortAudio's callback, on its own thread. Only copies and counts."""
        if status:
            self.lost += 1
        try:
            self._queue.put_nowait(bytes(data))
        except queue.Full:
            self.lost += 1


def _line(words: dict[str, str]) -> bytes:
    return json.dumps(words).encode() + b"\n"


def _write(pipe: int, data: bytes) -> None:
    while data:
        data = data[os.write(pipe, data) :]


if __name__ == "__main__":
    main()
