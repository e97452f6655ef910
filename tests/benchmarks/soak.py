"""A long working day: one session, stick after stick, by recorded speech through the real ears.

    python -m tests.benchmarks.soak --hours 8 --ear auto --svg soak.svg
    python -m tests.benchmarks.soak --hours 1 --part first.json        (and second.json ... on other days)
    python -m tests.benchmarks.soak --merge first.json second.json --svg soak.svg

The second voice of the demonstration bends the same saddle again and again at the speed of speech, one
session without a restart, with a virtual loudspeaker. Each minute one line is printed: memory of the program
with its helpers and of each process (MB), the size of the job file (kB), and the median wait from the end of
speech to the screen (s). At the end: the drift of memory after the first quarter of an hour, the marks of every
stick against those of the scenario, and, with `--svg`, a drawing. Exits 1 when a stick came out wrong or a step
failed.

A part is a session of its own, on a job file of its own; what it found is written down and merged into one account
and one drawing, with a line where a part ends. Parts show what an hour does to memory, not what eight do.
"""

from __future__ import annotations

import argparse
import io
import json
import os
import statistics
import sys
import tempfile
import threading
import time
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import asdict, dataclass, replace
from pathlib import Path

from bench.assistant.assembly import Options
from bench.data.bundle import knowledge
from bench.demo.showing import Demo
from tests.audio_rig import AudioRig
from tests.benchmarks.times import family, resident, waits

WARM = 15.0
"""Minutes after which memory must no longer grow."""
_WINDOW = 5.0
_FEWEST = 4
"""Windows of so many minutes a slope is made of, at least."""


MAIN = "main"
"""The assistant's own process. The simulated person is a thread of it."""
_HELPERS = {
    "bench.ears.second.process": "second recognizer",
    "bench.voice.render_process": "voice",
    "bench.audio.playback_process": "player",
}
OURS = (MAIN, *_HELPERS.values())
"""The processes of the program. The others are the person's and the virtual sound system."""


@dataclass(frozen=True)
class Sample:
    """One minute: minutes since the start, megabytes of each process, kB of the job file, seconds waited, sticks."""

    minutes: float
    processes: Mapping[str, float]
    kilobytes: float
    wait: float
    sticks: int

    @property
    def megabytes(self) -> float:
        """What the program holds with its helpers; without the simulated person's and the sound system."""
        return sum(self.processes.get(name, 0.0) for name in OURS)

    def line(self) -> str:
        """As printed."""
        each = ", ".join(f"{name} {megabytes:.1f}" for name, megabytes in self.processes.items())
        return (
            f"{self.minutes:8.1f} min {self.megabytes:7.1f} MB {self.kilobytes:8.0f} kB"
            f" {self.wait:6.2f} s {self.sticks:5} sticks   {each}"
        )


@dataclass(frozen=True)
class Part:
    """One session: its samples, sticks finished, those with other marks, exceptions caught, and what failed."""

    samples: tuple[Sample, ...]
    sticks: int
    wrong: int
    faults: int
    failed: str

    def verdict(self) -> str:
        """In a line."""
        minutes = self.samples[-1].minutes if self.samples else 0.0
        drift = drift_of(self.samples)
        memory = "too short for a drift"
        if drift is not None:
            each = ", ".join(
                f"{name} {drift_of(self.samples, name):+.1f}" for name in self.samples[-1].processes
            )
            memory = f"{drift:+.1f} MB an hour after {WARM:.0f} minutes ({each})"
        return (
            f"{minutes:.0f} minutes, {self.sticks} sticks, {self.wrong} with other marks, {self.faults} faults;"
            f" memory {memory}; {self.failed or 'no step failed'}"
        )

    @property
    def good(self) -> bool:
        """Whether everything came out as it must."""
        return bool(self.sticks) and not (self.wrong or self.faults or self.failed)


class LongDay(Demo):
    """The demonstration with "new stick" in place of the end, until the time is up."""

    def __init__(self, folder: Path, options: Options, seconds: float) -> None:
        super().__init__(folder, options, knowledge(), io.StringIO())
        self.folder = folder
        self._until = time.monotonic() + seconds
        self.ended: list[float] = []
        self.shown: list[float] = []
        self._show = self.watched.show
        self.watched.show = self._seen  # type: ignore[method-assign]
        self._answer = self.person.answer
        self.person.answer = self._on_and_on  # type: ignore[method-assign]
        self.sticks: list[tuple[str, ...]] = []

    def _seen(self, view: object) -> None:
        self.shown.append(time.monotonic())
        self._show(view)  # type: ignore[arg-type]

    def _on_and_on(self, said: str) -> str:
        """Another stick instead of the end; what was shown is checked and forgotten."""
        if "same again" not in said.lower():
            return self._answer(said)
        if self.watched.marks:
            self.sticks.append(self.watched.marks)
        self.watched.views[:-1] = [replace(view, verb="") for view in self.watched.views[-1:]]
        return "new stick" if time.monotonic() < self._until else self._answer(said)

    def _say(self, words: str) -> None:
        super()._say(words)
        self.ended.append(time.monotonic())

    def sample(self, began: float) -> Sample:
        """How it stands now; the waits are those since the last sample."""
        ended, self.ended = self.ended, []
        found = waits(ended, self.shown)
        self.shown = self.shown[-1:]
        size = sum(file.stat().st_size for file in self.folder.glob("jobs.db*")) / 1024
        wait = statistics.median(found) if found else 0.0
        return Sample((time.monotonic() - began) / 60, self._processes(), size, wait, len(self.sticks))

    def _processes(self) -> dict[str, float]:
        """Megabytes of this process and each of those it began, by name."""
        found = dict.fromkeys((*OURS, "person", "sound system"), 0.0)
        for pid in family(os.getpid()):
            found[self._name(pid)] += resident(pid)
        return found

    def _name(self, pid: int) -> str:
        if pid == os.getpid():
            return MAIN
        if pid in self._voice.processes:
            return "person"
        with suppress(OSError):
            words = Path(f"/proc/{pid}/cmdline").read_text().split("\0")
            return next((name for module, name in _HELPERS.items() if module in words), "sound system")
        return "sound system"


def drawing(parts: Sequence[Part]) -> str:
    """Memory and waits over time as an SVG picture, one part after the other with a line between."""
    samples, ends = list[Sample](), list[float]()
    for part in parts:
        before = ends[-1] if ends else 0.0
        samples += [replace(sample, minutes=before + sample.minutes) for sample in part.samples]
        ends.append(samples[-1].minutes)
    width, height = 900, 300
    box = f'viewBox="0 0 {width} {2 * height}" font-family="sans-serif"'
    drawn = [f'<svg xmlns="http://www.w3.org/2000/svg" {box}>']
    last = ends[-1] or 1.0
    for number, (name, unit) in enumerate(
        (("megabytes", "memory, MB"), ("wait", "end of speech to screen, s"))
    ):
        values = [getattr(sample, name) for sample in samples]
        top, base = max(values) * 1.1 or 1.0, (number + 1) * height - 40
        points = " ".join(
            f"{60 + sample.minutes / last * (width - 80):.1f},{base - value / top * (height - 80):.1f}"
            for sample, value in zip(samples, values, strict=True)
        )
        drawn += [
            f'<text x="60" y="{base - height + 70}">{unit}</text>',
            f'<path d="M60 {base - height + 80} V{base} H{width - 20}" fill="none" stroke="#888"/>',
            f'<text x="5" y="{base - height + 95}" font-size="12">{top:.1f}</text>',
            f'<text x="{width - 90}" y="{base + 18}" font-size="12">{last:.0f} minutes</text>',
            f'<polyline points="{points}" fill="none" stroke="#003f73" stroke-width="2"/>',
        ]
        for end in ends[:-1]:
            x = 60 + end / last * (width - 80)
            parts_line = f"M{x:.1f} {base - height + 80} V{base}"
            drawn.append(f'<path d="{parts_line}" stroke="#b00" stroke-dasharray="4 4"/>')
    return "\n".join([*drawn, "</svg>"])


def drift_of(samples: Sequence[Sample], process: str = "") -> float | None:
    """Megabytes an hour once warm, the slope of a straight line (least squares); None for too few samples.

    Of the whole program, or of one process of it. The line is that of the highest sample of every five minutes: memory
    swings by 10 MB with the grammar that is loaded when the sample is taken.
    """
    highest: dict[int, tuple[float, float]] = {}
    for sample in samples:
        if sample.minutes >= WARM:
            held = sample.processes.get(process, 0.0) if process else sample.megabytes
            window = int(sample.minutes // _WINDOW)
            highest[window] = max(highest.get(window, (0.0, 0.0)), (held, sample.minutes))
    if len(highest) < _FEWEST:
        return None
    megabytes, minutes = zip(*highest.values(), strict=True)
    slope, _ = statistics.linear_regression(minutes, megabytes)
    return 60 * slope


def written_part(part: Part) -> str:
    """A part as JSON."""
    return json.dumps(asdict(part), indent=1) + "\n"


def read_part(text: str) -> Part:
    """A part as it was written."""
    raw = json.loads(text)
    return Part(**raw | {"samples": tuple(Sample(**sample) for sample in raw["samples"])})


def main() -> int:
    """Run it, print a line a minute, judge it."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--hours", type=float, default=8.0)
    parser.add_argument("--ear", default="auto")
    parser.add_argument("--model", type=Path)
    parser.add_argument("--svg", type=Path)
    parser.add_argument("--part", type=Path, help="write down what was found, to be merged")
    parser.add_argument(
        "--merge", type=Path, nargs="+", help="parts written down before, in place of a session"
    )
    parser.add_argument("--every", type=float, default=60.0, help="seconds between samples")
    args = parser.parse_args()
    merged = [read_part(path.read_text("utf-8")) for path in args.merge or ()]
    parts = merged or [session(args)]
    if args.part:
        args.part.write_text(written_part(parts[0]), "utf-8")
    if args.svg:
        args.svg.write_text(drawing(parts), "utf-8")
    for part in parts:
        print(part.verdict())
    if len(parts) > 1:
        hours = sum(part.samples[-1].minutes for part in parts) / 60
        print(f"{len(parts)} parts, {hours:.1f} hours, {sum(part.sticks for part in parts)} sticks")
    return 0 if all(part.good for part in parts) else 1


def session(args: argparse.Namespace) -> Part:
    """One session of so many hours, with a line for every sample."""
    with AudioRig() as rig, rig.here(), tempfile.TemporaryDirectory() as folder:
        day = LongDay(Path(folder), Options({"ear": args.ear}, args.model), args.hours * 3600)
        thread = threading.Thread(target=day.run, daemon=True)
        began, samples = time.monotonic(), list[Sample]()
        thread.start()
        while thread.is_alive():
            thread.join(args.every)
            if thread.is_alive():
                samples.append(day.sample(began))
                print(samples[-1].line(), flush=True)
        wrong = sum(marks != day._scenario.marks for marks in day.sticks)
        return Part(
            tuple(samples), len(day.sticks), wrong, len(day.assistant.session.faults), day.person.failed
        )


if __name__ == "__main__":
    sys.exit(main())
