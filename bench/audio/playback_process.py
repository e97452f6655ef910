"""The helper process that owns the loudspeaker: one open stream, fed from a queue that can be emptied at once.

In a separate process, a busy recognizer or screen cannot make the sound stutter, and output of sound libraries
never reaches the terminal. After a loss, a new process sees the devices present now without closing the
microphone's stream (PortAudio lists devices once per process). Run by `bench.audio.loudspeaker`.
"""

from __future__ import annotations

import os
import sys
import threading
import time
from typing import IO, Any

import numpy as np

from bench.audio import portaudio
from bench.audio.mixer import Mixer
from bench.audio.pipes import Message, own_output, receive, send
from bench.core.notes import BenchError
from bench.language.write import written

LATENCY_S = 0.04
"""Seconds queued in the device. After `hush`, this plus one block and the fade still plays."""

BLOCK_S = 0.01

STALLED_S = 2.0
"""Seconds without a request after which the stream is lost. A machine that is only busy recovers sooner."""

STARTS_WITHIN_S = 5.0
"""Seconds after opening in which no stall is reported: a wireless headset must wake and buffers its first blocks."""

_POLL_S = 0.02


def main() -> None:
    """Play what is sent until the pipe closes or the device is lost. `argv[1]` names the device, if given."""
    pipe = own_output()
    try:
        output = open_output(sys.argv[1] if len(sys.argv) > 1 else None)
    except BenchError as error:
        send(pipe, {"event": "none", "message": written(error.message), "remedy": written(error.remedy)})
        return
    except Exception as error:  # PortAudio raises PortAudioError, sounddevice ValueError and others
        message = f"The speaker cannot be opened: {error}."
        send(
            pipe,
            {
                "event": "none",
                "message": message,
                "remedy": "Is another program using it? Bench keeps trying.",
            },
        )
        return
    send(pipe, output.description())
    reader = threading.Thread(target=_obey, args=(output.mixer,), daemon=True)
    reader.start()
    _watch(pipe, output, reader)
    os._exit(0)  # closing a dead device can hang; the system releases it anyway


def open_output(wanted: str | None) -> Output:
    """Open the named device or the default one. Raises BenchError or any error of PortAudio."""
    sounddevice = portaudio.sounddevice()
    try:
        device, stands_in = portaudio.choose("output", wanted), False
    except BenchError:
        device, stands_in = portaudio.choose("output"), True
    try:
        return Output(device, channels=1, stands_in=stands_in)
    except sounddevice.PortAudioError:
        return Output(device, channels=2, stands_in=stands_in)  # a bare hardware device often has no mono


class Output:
    """The open stream and its mixer."""

    def __init__(self, device: portaudio.Device, channels: int, stands_in: bool) -> None:
        self.device = device
        self.stands_in = stands_in
        self.rate = int(device.rate)
        self.mixer = Mixer(self.rate)
        self._asked = 0.0
        self._excused = time.monotonic() + STARTS_WITHIN_S
        self._underruns = 0
        self._stream = portaudio.sounddevice().OutputStream(
            self.rate,
            device=device.index,
            channels=channels,
            dtype="int16",
            latency=LATENCY_S,
            blocksize=round(BLOCK_S * self.rate),
            callback=self._fill,
        )
        self._stream.start()

    @property
    def latency(self) -> float:
        """Output latency in seconds, as PortAudio reports it."""
        return float(self._stream.latency)

    @property
    def lost(self) -> bool:
        """Whether the device has stopped asking for sound."""
        now = time.monotonic()
        return not self._stream.active or (now > self._excused and now - self._asked > STALLED_S)

    def description(self) -> Message:
        """The message that describes the open device."""
        device = {"device": self.device.name, "rate": self.rate, "stands_in": self.stands_in}
        return {"event": "open", "latency": self.latency, **device}

    def done(self, turn: int) -> Message:
        """The message that a turn has ended."""
        return {"event": "done", "turn": turn, "underruns": self._underruns}

    def _fill(self, out: Any, frames: int, _time: object, status: Any) -> None:
        self._asked = time.monotonic()
        self._underruns += bool(status.output_underflow)
        out[:] = self.mixer.next(frames)[:, None]


def _watch(pipe: IO[bytes], output: Output, reader: threading.Thread) -> None:
    """Report ended turns and a lost device, until the assistant closes the pipe."""
    while reader.is_alive():
        for turn in output.mixer.finished():
            time.sleep(output.latency)
            send(pipe, output.done(turn))
        if output.lost:
            send(pipe, {"event": "lost", "reason": "the device stopped requesting sound"})
            return
        time.sleep(_POLL_S)


def _obey(mixer: Mixer) -> None:
    """Carry out the assistant's messages at once."""
    while (request := receive(sys.stdin.buffer)) is not None:
        message, data = request
        samples = np.frombuffer(data, dtype=np.int16)
        match message["do"]:
            case "play":
                mixer.play(int(message["turn"]), samples, last=bool(message["last"]))
            case "tone":
                mixer.tone(samples)
            case "hush":
                mixer.hush()
            case "gain":
                mixer.gain = float(message["gain"])


if __name__ == "__main__":
    main()
