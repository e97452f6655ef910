"""kill -9 between and in the middle of steps of a real `bench --typed`, and take the job up again.

    python -m tests.benchmarks.crash --rounds 5 --seed 1
    python -m tests.benchmarks.crash --scripts stub kick rack --seed 1      (every script without a name)

The whole saddle is walked through, line by line. Each process is killed either right after a reply was
printed or at a random moment after a line was sent. Then:

* every line that had its reply is in the log, once, and the job goes on from there when told "yes";
* a line killed before its reply is either wholly in or not at all; it is then said again.

At the end the marks, the steps done and the measures confirmed are those of an undisturbed walk. With `--scripts` what
is said in the conversations of `tests/dialogue/scripts` is walked through instead, any bend and any question; then the
log is looked at, not the outcome, for a question inside a question does not outlive a restart.
"""

from __future__ import annotations

import argparse
import os
import signal
import subprocess
import sys
import tempfile
import time
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from random import Random

from bench.memory import jobs
from tests.dialogue.conversation import SADDLE
from tests.dialogue.script import SCRIPTS

LINES = (
    *SADDLE,
    "yes",
    *("next", "next", "what is mark two", "next", "next", "undo", "next", "next", "next"),
    *("yes", "it fits", "it fits", "it fits", "thirty one and a half", "no", "it fits", "next"),
    *("finish the job", "yes"),
)
"""One whole job as it is said, with a question, an undo and a measure taken back on the way."""


ASKED_AGAIN = ("resume", "setup_again")
"""Stages whose answer belongs to the restart, not to the job."""


@dataclass
class Bench:
    """A running `bench --typed` on a folder. Lines go in, the line printed for each comes out."""

    folder: Path

    def __post_init__(self) -> None:
        self.process = subprocess.Popen(
            [sys.executable, "-m", "bench", "--typed", "--data", self.folder],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
            bufsize=1,
            env={**os.environ, "XDG_STATE_HOME": str(self.folder / "logs")},
        )
        self.reply = self._read()

    def send(self, line: str) -> None:
        """Say a line."""
        assert self.process.stdin is not None
        self.process.stdin.write(line + "\n")
        self.process.stdin.flush()

    def say(self, line: str) -> str:
        """Say a line and wait for its reply."""
        self.send(line)
        self.reply = self._read()
        return self.reply

    def kill(self) -> None:
        """Kill the process, as a dead battery would."""
        self.process.send_signal(signal.SIGKILL)
        self.process.wait()
        for pipe in (self.process.stdin, self.process.stdout):
            assert pipe is not None
            pipe.close()

    def _read(self) -> str:
        assert self.process.stdout is not None
        line = self.process.stdout.readline()
        while line.startswith("  "):
            line = self.process.stdout.readline()
        return line.rstrip()


def heard(folder: Path) -> list[str]:
    """Every line in the log of what was heard, but the answers to "go on from there?"."""
    with jobs.reading(folder) as db:
        log = jobs.entries(db, kind="heard")
    return [str(entry.detail["words"]) for entry in log if entry.detail["stage"] not in ASKED_AGAIN]


def outcome(folder: Path) -> list[tuple[str, str]]:
    """What came of the job: its records but those of starting, in order."""
    with jobs.reading(folder) as db:
        kept = [entry for entry in jobs.entries(db) if entry.kind not in ("heard", "job_started")]
    return [(entry.kind, str(dict(entry.detail))) for entry in kept]


def undisturbed(folder: Path) -> list[tuple[str, str]]:
    """The outcome of the walk when nothing happens."""
    bench = Bench(folder)
    for line in LINES:
        bench.say(line)
    bench.kill()
    return outcome(folder)


def resumed(folder: Path) -> Bench:
    """A new process, told to go on where the last one was."""
    bench = Bench(folder)
    if "Go on from there?" in bench.reply or "Same again?" in bench.reply:
        bench.say("yes")
    return bench


def script(name: str) -> tuple[str, ...]:
    """What is said in a conversation of the scripts."""
    lines = (SCRIPTS / f"{name}.txt").read_text("utf-8").splitlines()
    return tuple(line[2:].strip() for line in lines if line.startswith("> "))


def walk_with_kills(
    folder: Path, rng: Random, chance: float = 0.3, in_the_middle: bool = True, lines: tuple[str, ...] = LINES
) -> int:
    """Walk through the job, killing now and then; how often it was killed. Raises AssertionError."""
    bench, kills, at = Bench(folder), 0, 0
    while at < len(lines):
        line, before = lines[at], heard(folder)
        assert before == list(lines[:at]), f"the log holds {before[-3:]} before line {at} {line!r}"
        middle = in_the_middle and rng.random() < chance
        if middle:
            bench.send(line)
            time.sleep(rng.uniform(0, 0.03))
        else:
            bench.say(line)
        if not middle and rng.random() >= chance:
            at += 1
            continue
        bench.kill()
        kills += 1
        after = heard(folder)
        assert after in ([*before, line], before) if middle else after == [*before, line], (
            f"line {at}: {after[-3:]}"
        )
        at = len(after)
        bench = resumed(folder)
    bench.kill()
    return kills


def _scripts(names: list[str], seed: int) -> int:
    """Each script once; 1 when one lost a line."""
    lost = kills = said = 0
    for number, name in enumerate(names):
        lines = script(name)
        said += len(lines)
        with tempfile.TemporaryDirectory() as folder:
            try:
                kills += walk_with_kills(Path(folder), Random(seed + number), lines=lines)
            except AssertionError as error:
                lost += 1
                print(f"{name}: {error}", flush=True)
    print(f"{len(names)} scripts of {said} lines, {kills} kills, {lost} scripts that lost something")
    return 1 if lost else 0


def main() -> int:
    """Rounds of kills; the count of those that lost something, so far when it is interrupted."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--scripts", nargs="*", help="conversations to walk through instead")
    args = parser.parse_args()
    if args.scripts is not None:
        return _scripts(args.scripts or sorted(path.stem for path in SCRIPTS.glob("*.txt")), args.seed)
    with tempfile.TemporaryDirectory() as whole:
        wanted = undisturbed(Path(whole))
    lost = kills = walks = 0
    with suppress(KeyboardInterrupt):
        for seed in range(args.seed, args.seed + args.rounds):
            with tempfile.TemporaryDirectory() as folder:
                try:
                    kills += walk_with_kills(Path(folder), Random(seed))
                    assert outcome(Path(folder)) == wanted, "the job came out differently"
                except AssertionError as error:
                    lost += 1
                    print(f"seed {seed}: {error}", flush=True)
            walks += 1
    print(f"{walks} walks of {len(LINES)} lines, {kills} kills, {lost} walks that lost something")
    return 1 if lost else 0


if __name__ == "__main__":
    sys.exit(main())
