"""How long the person waits, and how much memory it takes.

    python -m tests.benchmarks.times --ear vosk

Started up: a real `bench` on a terminal of its own, with a virtual microphone and loudspeaker, from the
command to the first screenful, to the first words, and to ears that listen; the very first start compiles the
modules and the grammar that the others find stored. Answered: the demonstration
through the real ears with a virtual loudspeaker, from the last sound said to the screen and to the first
sound of the reply.
"""

from __future__ import annotations

import argparse
import fcntl
import io
import os
import pty
import select
import shutil
import statistics
import struct
import subprocess
import sys
import tempfile
import termios
import time
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path

from bench.assistant.assembly import Options
from bench.data.bundle import knowledge
from bench.demo.showing import Demo
from bench.ears.choose import EARS
from bench.voice.voice_events import Speaking
from tests.audio_rig import AudioRig

MEGABYTE = 1024


class TimedDemo(Demo):
    """A demonstration that notes when speech ended, when the screen changed, when a reply sounded."""

    def __init__(self, folder: Path, options: Options) -> None:
        super().__init__(folder, options, knowledge(), io.StringIO())
        self.ended: list[float] = []
        self.sounded: list[float] = []
        self.shown: list[float] = []
        self._post, self._show = self.assistant.loop.post, self.watched.show
        self.assistant.loop.post = self._noted  # type: ignore[method-assign]
        self.watched.show = self._seen  # type: ignore[method-assign]

    def _noted(self, item: object) -> None:
        if isinstance(item, Speaking):
            self.sounded.append(time.monotonic())
        self._post(item)  # type: ignore[arg-type]

    def _seen(self, view: object) -> None:
        self.shown.append(time.monotonic())
        self._show(view)  # type: ignore[arg-type]

    def _say(self, words: str) -> None:
        super()._say(words)
        self.ended.append(time.monotonic())


def waits(starts: Sequence[float], ends: Sequence[float]) -> list[float]:
    """For each start the time to the first end after it, within five seconds."""
    found = (next((end - start for end in ends if end > start), None) for start in starts)
    return [wait for wait in found if wait is not None and wait < 5]


def row(name: str, values: Sequence[float]) -> str:
    """Median, nine tenths, and the longest, in seconds."""
    if not values:
        return f"{name:<44} no figure"
    ordered = sorted(values)
    tenth = ordered[min(len(ordered) - 1, int(len(ordered) * 0.9))]
    return f"{name:<44} {statistics.median(ordered):6.2f} {tenth:6.2f} {ordered[-1]:6.2f}   {len(ordered):4}"


def memory(pid: int) -> float:
    """Megabytes held by a process and its children (resident set)."""
    return sum(resident(each) for each in family(pid))


def resident(pid: int) -> float:
    """Megabytes a process holds (resident set), 0 when it has ended."""
    with suppress(OSError):
        for line in Path(f"/proc/{pid}/status").read_text().splitlines():
            if line.startswith("VmRSS:"):
                return int(line.split()[1]) / MEGABYTE
    return 0.0


def family(pid: int) -> list[int]:
    """A process, its children, theirs, and so on."""
    children = dict[int, None]()
    with suppress(OSError):
        for thread in Path(f"/proc/{pid}/task").iterdir():
            children |= dict.fromkeys(map(int, (thread / "children").read_text().split()))
    return [pid, *(one for child in children for one in family(child))]


def start_up(rig: AudioRig, ear: str, model: str | None, cache: Path) -> tuple[dict[str, float], float]:
    """Seconds from the command to each sign of life, and the megabytes it then takes."""
    folder = Path(tempfile.mkdtemp(prefix="bench-times-"))
    environment = rig.environment() | {"TERM": "xterm-256color", "XDG_CACHE_HOME": str(cache)}
    environment |= dict.fromkeys(("XDG_STATE_HOME", "XDG_DATA_HOME"), str(folder))
    environment.pop("PYTHONDONTWRITEBYTECODE", None)  # an installed copy is compiled
    command = [sys.executable, "-m", "bench", "--ear", ear]
    command += ["--model", model] if model else []
    ours, theirs = pty.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 40, 120, 0, 0))
    began = time.time()
    process = subprocess.Popen(command, stdin=theirs, stdout=theirs, stderr=theirs, env=environment)
    os.close(theirs)
    signs: dict[str, float] = {}
    wanted = {"first words sound": "Speaking(", "ears listen": " Listening("}
    if ear == EARS[0]:
        wanted["second recognizer is up"] = "SecondListening("
    size = 0
    while time.time() - began < 30 and len(signs) <= len(wanted):
        if select.select([ours], [], [], 0.01)[0]:
            size += len(os.read(ours, 65536))
        if size > 2000:
            signs.setdefault("first screenful", time.time() - began)
        text = "".join(log.read_text() for log in folder.rglob("bench.log"))
        for name, mark in wanted.items():
            if mark in text:
                signs.setdefault(name, time.time() - began)
    megabytes = memory(process.pid)
    process.terminate()
    process.wait()
    os.close(ours)
    shutil.rmtree(folder, ignore_errors=True)
    return signs, megabytes


def main() -> int:
    """Print the table."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--ear", default="auto")
    parser.add_argument("--model")
    parser.add_argument("--starts", type=int, default=5)
    args = parser.parse_args()
    print(f"{'seconds':<44} median  9/10    most      n")
    with AudioRig() as rig, tempfile.TemporaryDirectory(prefix="bench-times-") as cache:
        first, _ = start_up(rig, args.ear, args.model, Path(cache))
        print(row("the very first start to: ears listen", [first["ears listen"]]), flush=True)
        starts = [start_up(rig, args.ear, args.model, Path(cache)) for _ in range(args.starts)]
        for name in ("first screenful", "first words sound", "ears listen", "second recognizer is up"):
            print(row(f"start to: {name}", [signs[name] for signs, _ in starts if name in signs]), flush=True)
        with rig.here(), tempfile.TemporaryDirectory() as folder:
            given = {"ear": args.ear}
            model = Path(args.model) if args.model else None
            demo = TimedDemo(Path(folder), Options(given, model))
            demo.run()
            print(row("end of speech to: screen", waits(demo.ended, demo.shown)))
            print(row("end of speech to: first sound", waits(demo.ended, demo.sounded)))
    megabytes = statistics.median(each for _, each in starts)
    print(f"memory once started: {megabytes:.0f} MB with its helpers")
    print(f"the demonstration: {demo.verdict}")
    return 0 if demo.right else 1


if __name__ == "__main__":
    sys.exit(main())
