"""Names of the current output devices, listed by a new process: `python -m bench.audio.outputs`.

PortAudio lists devices once per process. Listing them here would restart it, which stops the microphone.
"""

from __future__ import annotations

import json
import subprocess

from bench.audio import pipes, portaudio
from bench.core.notes import BenchError

_WITHIN_S = 10.0


def output_names() -> tuple[str, ...]:
    """The names of the output devices. Empty when there are none or the sound library is missing."""
    try:
        command = pipes.command("bench.audio.outputs")
        done = subprocess.run(command, env=pipes.environment(), capture_output=True, timeout=_WITHIN_S)
        return tuple(json.loads(done.stdout))
    except (OSError, subprocess.SubprocessError, ValueError):
        return ()


def main() -> None:
    """Print the names as one JSON list."""
    try:
        names = [device.name for device in portaudio.devices("output")]
    except BenchError:
        names = []
    print(json.dumps(names))


if __name__ == "__main__":
    main()
