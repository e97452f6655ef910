"""A long working day: one session, stick after stick, by recorded speech through the real ears.

    python -m tests.benchmarks.soak --hours 8 --ear auto --svg soak.svg

The second voice of the demonstration bends the same saddle again and again at the speed of speech, one
session without a restart, with a virtual loudspeaker. Each minute one line is printed: memory with the
helpers (MB), the size of the job file (kB), and the median wait from the end of speech to the screen (s). At
the end: the growth of memory from the first quarter to the last, the marks of every stick against those of
the scenario, and, with `--svg`, a drawing. Exits 1 when a stick came out wrong or a step failed.
"""

from __future__ import annotations

import argparse
import io
import os
import statistics
import sys
import tempfile
import threading
import time
from dataclasses import dataclass, replace
from pathlib import Path

from bench.assistant.assembly import Options
from bench.data.bundle import knowledge
from bench.demo.showing import Demo
from tests.audio_rig import AudioRig
from tests.benchmarks.times import memory, waits


@dataclass(frozen=True)
class Sample:
    """One minute: minutes since the start, megabytes, kilobytes of the job file, seconds waited, sticks."""

    minutes: float
    megabytes: float
    kilobytes: float
    wait: float
    sticks: int

    def line(self) -> str:
        """As printed."""
        return (
            f"{self.minutes:8.1f} min {self.megabytes:7.1f} MB {self.kilobytes:8.0f} kB"
            f" {self.wait:6.2f} s {self.sticks:5} sticks"
        )


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
        return Sample((time.monotonic() - began) / 60, memory(os.getpid()), size, wait, len(self.sticks))


def drawing(samples: list[Sample]) -> str:
    """Memory and waits over time as an SVG picture."""
    width, height = 900, 300
    box = f'viewBox="0 0 {width} {2 * height}" font-family="sans-serif"'
    parts = [f'<svg xmlns="http://www.w3.org/2000/svg" {box}>']
    last = max(sample.minutes for sample in samples) or 1.0
    for number, (name, unit) in enumerate(
        (("megabytes", "memory, MB"), ("wait", "end of speech to screen, s"))
    ):
        values = [getattr(sample, name) for sample in samples]
        top, base = max(values) * 1.1 or 1.0, (number + 1) * height - 40
        points = " ".join(
            f"{60 + sample.minutes / last * (width - 80):.1f},{base - value / top * (height - 80):.1f}"
            for sample, value in zip(samples, values, strict=True)
        )
        parts += [
            f'<text x="60" y="{base - height + 70}">{unit}</text>',
            f'<path d="M60 {base - height + 80} V{base} H{width - 20}" fill="none" stroke="#888"/>',
            f'<text x="5" y="{base - height + 95}" font-size="12">{top:.1f}</text>',
            f'<text x="{width - 90}" y="{base + 18}" font-size="12">{last:.0f} minutes</text>',
            f'<polyline points="{points}" fill="none" stroke="#003f73" stroke-width="2"/>',
        ]
    return "\n".join([*parts, "</svg>"])


def growth(samples: list[Sample]) -> float:
    """Megabytes that the last quarter takes more than the first after warming up."""
    quarter = max(1, len(samples) // 4)
    first = statistics.mean(sample.megabytes for sample in samples[1 : 1 + quarter] or samples[:1])
    return statistics.mean(sample.megabytes for sample in samples[-quarter:]) - first


def main() -> int:
    """Run it, print a line a minute, judge it."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--hours", type=float, default=8.0)
    parser.add_argument("--ear", default="auto")
    parser.add_argument("--model", type=Path)
    parser.add_argument("--svg", type=Path)
    parser.add_argument("--every", type=float, default=60.0, help="seconds between samples")
    args = parser.parse_args()
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
        if args.svg:
            args.svg.write_text(drawing(samples))
        wanted = day._scenario.marks
        wrong = [marks for marks in day.sticks if marks != wanted]
        print(
            f"{len(day.sticks)} sticks, {len(wrong)} with other marks; {len(day.assistant.session.faults)} faults"
        )
        print(
            f"memory grew by {growth(samples):.1f} MB from the first quarter to the last; {day.person.failed}"
        )
        return 1 if wrong or day.assistant.session.faults or day.person.failed or not day.sticks else 0


if __name__ == "__main__":
    sys.exit(main())
