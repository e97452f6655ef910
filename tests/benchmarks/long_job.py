"""The cost of a step at the start and at the end of a job of many sticks, without sound.

    python -m tests.benchmarks.long_job --sticks 100

A real session on a job file bends stick after stick of one job, another bend each time. Every ten sticks one line:
the kilobytes of the state and of the job that go to disk with a step, the median milliseconds of a whole step (heard,
worked out, committed), and the kilobytes of the job file.
"""

from __future__ import annotations

import argparse
import json
import statistics
import sys
import tempfile
import time
from contextlib import closing
from pathlib import Path

from bench.assistant.assembly import Options, conversation
from bench.assistant.session import Session
from bench.data.bundle import knowledge
from bench.dialogue.events import Said
from bench.dialogue.machine import expectation
from bench.dialogue.state import Stage, State, state_to_json
from bench.job.stored import job_to_json
from bench.language.meaning import Kind, typed
from bench.memory.store import Store

STICKS = (
    ("offset", "forty", "six", "yes"),
    ("three point saddle", "forty", "two and a half", "skip", "yes"),
    ("ninety", "fourteen", "yes"),
)
MOST_STEPS = 80
"""Steps of one stick; more and the walk is lost."""


class Day:
    """One session and what its steps took."""

    def __init__(self, folder: Path) -> None:
        self.store = Store(folder)
        talk = conversation(knowledge(), Options(), self.store)
        self.session: Session[State] = Session(talk, self.store, lambda effects: None)
        self.session.begin()
        self.took: list[float] = []
        for words in ("emt", "half inch"):
            self.say(words)

    def say(self, words: str) -> None:
        """One utterance, timed."""
        began = time.perf_counter()
        self.session.handle(Said(typed(words)))
        self.took.append(time.perf_counter() - began)

    def stick(self, number: int) -> None:
        """One stick from its name to its last bend. Raises RuntimeError when the walk is lost."""
        if number:
            self.say("new stick")
        for words in STICKS[number % len(STICKS)]:
            self.say(words)
        for _ in range(MOST_STEPS):
            if self.session.state.now.stage is not Stage.WORK:
                break
            asked = expectation(self.session.state, knowledge()).kind
            self.say({Kind.COMMAND: "next", Kind.YESNO: "yes"}.get(asked, "it fits"))
        now = self.session.state.now
        if now.stage is not Stage.AFTER or len(now.job.sticks) != number + 1 or self.session.faults:
            raise RuntimeError(f"lost at stick {number + 1}, {now.stage}: {self.session.faults}")

    def line(self, sticks: int, folder: Path) -> str:
        """How it stands; the steps are those since the last line."""
        state = len(json.dumps(state_to_json(self.session.state))) / 1024
        job = len(json.dumps(job_to_json(self.session.state.now.job))) / 1024
        file = sum(one.stat().st_size for one in folder.glob("jobs.db*")) / 1024
        step, self.took = 1000 * statistics.median(self.took), []
        return f"{sticks:5} sticks  state {state:6.1f} kB  job {job:6.1f} kB  step {step:6.2f} ms  file {file:7.0f} kB"


def main() -> int:
    """Walk it and print a line every ten sticks."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--sticks", type=int, default=100)
    args = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        day = Day(folder)
        with closing(day.store):
            for number in range(args.sticks):
                day.stick(number)
                if number % 10 == 9:
                    print(day.line(number + 1, folder), flush=True)
            print(f"{len(day.session.state.now.job.sticks)} sticks in the job")
    return 0


if __name__ == "__main__":
    sys.exit(main())
