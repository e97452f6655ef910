"""Access to PortAudio, shared by microphone and loudspeaker.

PortAudio lists devices once, when it starts, and a sound system that crashes ends its process. So each of the
two opens its stream in a separate helper process. This process only lists devices.
"""

from __future__ import annotations

import os
import sys
import threading
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import ModuleType
from typing import Literal

from bench.core.notes import BenchError
from bench.data.folders import log_folder

LOCK = threading.RLock()
"""Held while PortAudio is loaded or called: it is not thread-safe."""

PREFERRED = ("pipewire", "pulse", "default")
"""Devices that follow the desktop's choice, best first. PortAudio's own default often does not."""

Direction = Literal["input", "output"]


@dataclass(frozen=True, slots=True)
class Device:
    """A sound device with PortAudio's current index. `rate` is its native sample rate in hertz."""

    index: int
    name: str
    channels: int
    rate: float


@cache
def keep_terminal_clean() -> Path | None:
    """Redirect file descriptor 2, where sound libraries print, to a log file. Python's own errors stay visible.

    ALSA, JACK and PortAudio write there from their own threads, over whatever is on the screen. Returns the log
    file, or None when it cannot be written (then nothing is changed).
    """
    try:
        log = log_folder() / "sound.log"
        log.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        target = os.open(log, os.O_WRONLY | os.O_CREAT | os.O_TRUNC | getattr(os, "O_NONBLOCK", 0), 0o600)
    except (OSError, BenchError):
        return None
    sys.stderr.flush()
    if _is_descriptor_two(sys.stderr):
        sys.stderr = os.fdopen(os.dup(2), "w", buffering=1, encoding="utf-8", errors="replace")
        sys.__stderr__ = sys.stderr  # type: ignore[misc]  # the screen draws through this stream
    os.dup2(target, 2)
    os.close(target)
    return log


@cache
def sounddevice() -> ModuleType:
    """The sounddevice module, imported with the terminal kept clean. BenchError when PortAudio is missing."""
    keep_terminal_clean()
    try:
        with LOCK:
            import sounddevice as module
    except OSError as error:
        remedy = "On Debian or Ubuntu: apt-get install libportaudio2"
        message = "The sound library PortAudio is missing."
        raise BenchError(message, remedy, code="portaudio_missing") from error
    loaded: ModuleType = module
    return loaded


def devices(direction: Direction) -> tuple[Device, ...]:
    """All devices of one direction, as listed at the last start. BenchError when PortAudio is missing."""
    module = sounddevice()
    with LOCK:
        try:
            listed = list(module.query_devices())
        except module.PortAudioError:
            return ()
    found = []
    for index, entry in enumerate(listed):
        channels = int(entry[f"max_{direction}_channels"])
        if channels:
            found.append(Device(index, str(entry["name"]), channels, float(entry["default_samplerate"])))
    return tuple(found)


def choose(direction: Direction, name: str | None = None) -> Device:
    """The device whose name contains `name` (case-insensitive), or the default device when None.

    Raises BenchError listing the devices.
    """
    found = devices(direction)
    what = "microphone" if direction == "input" else "loudspeaker"
    if name is None:
        if not found:
            remedy = "Plug one in. Bench looks again by itself."
            raise BenchError(f"No {what} was found.", remedy, code=f"no_{what}")
        return _desktop_choice(found, direction)
    for device in found:
        if name.lower() in device.name.lower():
            return device
    names = ", ".join(device.name for device in found) or "none"
    raise BenchError(f"No {what} is named {name!r}.", f"There are: {names}.", code=f"no_{what}")


def _desktop_choice(found: tuple[Device, ...], direction: Direction) -> Device:
    for wanted in PREFERRED:
        for device in found:
            if device.name.lower() == wanted:
                return device
    default = sounddevice().default.device[0 if direction == "input" else 1]
    return next((device for device in found if device.index == default), found[0])


def _is_descriptor_two(stream: object) -> bool:
    try:
        return bool(stream.fileno() == 2)  # type: ignore[attr-defined]
    except (AttributeError, OSError, ValueError):
        return False
