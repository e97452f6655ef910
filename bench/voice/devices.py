"""Output devices: which there are and which one is taken.

`python -m bench.voice.devices` lists them as JSON from a fresh process: PortAudio lists devices once per
process, and what ALSA prints on the way stays off the terminal.
"""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

PREFERRED = ("pipewire", "pulse", "default")
"""Sound servers by the names PortAudio gives them on Linux, best first: its default is often not theirs."""

_LIST_WITHIN_S = 10.0


class NoOutput(Exception):
    """There is no output device at all."""


@dataclass(frozen=True, slots=True)
class Device:
    """An output device. `rate` is its own, hertz. `stands_in` when another was asked for by name."""

    index: int
    name: str
    rate: float
    stands_in: bool = False


def pick_output(
    wanted: str | None, devices: Sequence[Mapping[str, Any]], hosts: Sequence[Mapping[str, Any]]
) -> Device:
    """The device to play on: by name or part of it, else the system's. Raises NoOutput."""
    outputs = [
        Device(index, str(device["name"]), float(device["default_samplerate"]))
        for index, device in enumerate(devices)
        if device["max_output_channels"] > 0
    ]
    if not outputs:
        raise NoOutput("there is no output device")
    if wanted:
        named = [device for device in outputs if wanted.lower() in device.name.lower()]
        if named:
            return named[0]
    usual = _usual(outputs, hosts)
    return Device(usual.index, usual.name, usual.rate, stands_in=bool(wanted))


def _usual(outputs: Sequence[Device], hosts: Sequence[Mapping[str, Any]]) -> Device:
    by_name = {device.name: device for device in reversed(outputs)}
    for name in PREFERRED:
        if name in by_name:
            return by_name[name]
    defaults = [host["default_output_device"] for host in hosts]
    return next((device for device in outputs if device.index in defaults), outputs[0])


def outputs() -> tuple[Device, ...]:
    """The output devices there are now. Empty when there are none or the sound library is missing."""
    try:
        done = subprocess.run(
            [sys.executable, "-m", "bench.voice.devices"], capture_output=True, timeout=_LIST_WITHIN_S
        )
        return tuple(Device(**item) for item in json.loads(done.stdout))
    except (OSError, subprocess.SubprocessError, ValueError):
        return ()


def main() -> None:
    """Print the output devices as one JSON list."""
    import sounddevice

    devices = sounddevice.query_devices()
    playing = [(index, device) for index, device in enumerate(devices) if device["max_output_channels"] > 0]
    listed = [
        asdict(Device(index, device["name"], device["default_samplerate"])) for index, device in playing
    ]
    print(json.dumps(listed))


if __name__ == "__main__":
    main()
