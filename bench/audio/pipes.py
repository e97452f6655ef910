"""The protocol between the assistant and its helper processes: one JSON line per message, then raw bytes if any.

Speech and sound libraries print to the terminal, hang and crash. Each runs in a separate process whose output is
kept off the screen. The process ends when the assistant ends and can be ended at any time.
"""

from __future__ import annotations

import contextlib
import json
import os
import subprocess
import sys
from pathlib import Path
from typing import IO, Any

Message = dict[str, Any]

_PACKAGE_PARENT = Path(__file__).parents[2]


def command(module: str, *arguments: str) -> list[str]:
    """The command line of `python -m module`. Modules in the current folder are never imported."""
    return [sys.executable, "-P", "-m", module, *arguments]


def environment() -> dict[str, str]:
    """The environment of a helper process, set so that it imports this same package."""
    paths = [str(_PACKAGE_PARENT), os.environ.get("PYTHONPATH", "")]
    return {**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, paths))}


def start(module: str, *arguments: str) -> subprocess.Popen[bytes]:
    """Start `python -m module` with pipes in both directions and no output to the terminal."""
    return subprocess.Popen(
        command(module, *arguments),
        env=environment(),
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        start_new_session=os.name == "posix",  # Ctrl-C at the terminal is for the assistant alone
    )


def own_output() -> IO[bytes]:
    """In a helper process: the pipe to the assistant. All other output goes to standard error."""
    pipe = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    return pipe


def send(pipe: IO[bytes], message: Message, data: bytes = b"") -> None:
    """Write one message. `data` follows its line, with the length in `bytes`. Raises OSError or ValueError."""
    line = json.dumps({**message, "bytes": len(data)}).encode() + b"\n"
    pipe.write(line + data)
    pipe.flush()


def receive(pipe: IO[bytes]) -> tuple[Message, bytes] | None:
    """Read one message and its data, or None when the other side has ended."""
    line = pipe.readline()
    if not line.endswith(b"\n"):
        return None
    message: Message = json.loads(line)
    length = int(message["bytes"])
    data = pipe.read(length)
    return (message, data) if len(data) == length else None


def end(process: subprocess.Popen[bytes]) -> None:
    """End a helper process now and close its pipes."""
    process.kill()
    process.wait()
    for pipe in (process.stdin, process.stdout):
        if pipe is not None:
            with contextlib.suppress(OSError):  # unsent data can no longer arrive
                pipe.close()
