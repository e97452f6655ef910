"""The microphone: always open, at its own rate, resampled to 16 kHz."""

from __future__ import annotations

import queue
from contextlib import suppress

import numpy as np
import soxr

from bench import portaudio
from bench.core.notes import BenchError
from bench.ears.recognizer import RATE, Samples

_QUEUED = 400
"""Blocks of about 10 ms that may wait to be read before new ones are dropped."""
_LATENCY = 0.05
_REMEDY = "Check that it is plugged in and not used by another program; Bench tries again by itself."


class MicrophoneSource:
    """A sound input chosen by name, or the desktop's own.

    `overflows` counts blocks that the system or the queue lost. A device that vanishes raises nothing here:
    `read` just gives None, and the ears close it and open it again.
    """

    waits = False

    def __init__(self, wanted: str | None = None) -> None:
        self.overflows = 0
        self._wanted = wanted
        self._name = wanted or "microphone"
        self._queue: queue.Queue[bytes] = queue.Queue(_QUEUED)
        self._stream: object | None = None
        self._channels = 1
        self._resample: soxr.ResampleStream | None = None
        self._opened_before = False

    @property
    def name(self) -> str:
        """The device's name, once it has been opened."""
        return self._name

    def open(self) -> None:
        """Find the device and start it. Raises BenchError when it is not there or cannot be opened."""
        sounddevice = portaudio.sounddevice()
        with portaudio.LOCK:
            if self._opened_before:
                portaudio.restart()
            self._opened_before = True
            device = portaudio.choose("input", self._wanted)
            self._name = device.name
            self._queue = queue.Queue(_QUEUED)
            try:
                self._start(device)
            except sounddevice.PortAudioError as error:
                self.close()
                message = f"The microphone {device.name!r} cannot be opened: {error}"
                raise BenchError(message, _REMEDY, code="microphone_failed") from error

    def read(self, timeout: float) -> Samples | None:
        """The next block at 16 kHz, or None when the device gave nothing for `timeout` seconds."""
        try:
            data = self._queue.get(timeout=timeout)
        except queue.Empty:
            return None
        block = np.frombuffer(data, np.int16)
        if self._channels > 1:
            block = np.ascontiguousarray(block[:: self._channels])
        if self._resample is None:
            return block
        resampled: Samples = self._resample.resample_chunk(block)
        return resampled

    def close(self) -> None:
        """Stop the device; never raises."""
        stream, self._stream = self._stream, None
        if stream is None:
            return
        sounddevice = portaudio.sounddevice()
        # An error means that it is gone already, which is all that was wanted.
        with portaudio.LOCK, suppress(sounddevice.PortAudioError):
            stream.close(ignore_errors=True)  # type: ignore[attr-defined]

    def _start(self, device: portaudio.Device) -> None:
        """Mono where the device allows it, else all channels of which the first is taken."""
        sounddevice = portaudio.sounddevice()
        try:
            self._stream = self._open_stream(device, 1)
        except sounddevice.PortAudioError:
            self._stream = self._open_stream(device, device.channels)
        rate = device.rate
        self._resample = None if rate == RATE else soxr.ResampleStream(rate, RATE, 1, dtype="int16")
        self._stream.start()  # type: ignore[attr-defined]

    def _open_stream(self, device: portaudio.Device, channels: int) -> object:
        self._channels = channels
        stream: object = portaudio.sounddevice().RawInputStream(
            samplerate=device.rate,
            device=device.index,
            channels=channels,
            dtype="int16",
            latency=_LATENCY,
            callback=self._copy,
        )
        return stream

    def _copy(self, data: object, frames: int, time: object, status: object) -> None:
        """PortAudio's thread: copy, count, nothing else."""
        if status:
            self.overflows += 1
        try:
            self._queue.put_nowait(bytes(data))  # type: ignore[call-overload]
        except queue.Full:
            self.overflows += 1
