"""Damage: our files corrupted by a bad disk or a careless edit, and how a start handles them.

    python -m tests.benchmarks.damage --trials 300 --seed 1

A random session leaves a folder with jobs, a place in a job, benders, what was learned of them, settings and the copies
made at each start. One thing is then damaged: bytes, pages or the end of a file, a digit of a row (with the digest left
as it was), emptied or filled with noise, the journal, the version. Then Bench is started on it and its jobs are listed
and drawn:

* no exception, no fault caught, and something is shown and said;
* a state that is not the one left is told of; one that was never a state of the session is never taken;
* a job that is not the one left is named by `bench jobs`, told of, or not there; benders, what was learned of them and
  settings the same;
* a second start after that says no more of it, and works.

One line a kind; exits 1 when a trial went wrong.
"""

from __future__ import annotations

import argparse
import json
import os
import sqlite3
import sys
import tempfile
from collections import Counter
from collections.abc import Callable
from contextlib import closing, suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime
from fractions import Fraction
from pathlib import Path
from random import Random

from bench.assistant.benders import kept_learning
from bench.dialogue.machine import initial
from bench.dialogue.state import State, state_to_json
from bench.job.learning import Learning
from bench.job.model import Job, Profile
from bench.job.stored import job_to_json
from bench.memory import jobs
from bench.memory.benders import BENDER_FILE, BenderFile
from bench.memory.damage import BACKUP
from bench.memory.learned import LEARNED_FILE, LearnedFile
from bench.memory.schema import JOB_FILE
from bench.memory.store import Store
from tests.benchmarks.fuzz import learned_before
from tests.benchmarks.random_talk import RandomTalk

OWN = Profile("mine", "emt", "1/2", Fraction(81, 16), Fraction(41, 16), 2.0)
TOLD = (
    "is lost",
    "damaged",
    "could not be read",
    "not used",
    "cannot be used",
    "moved away",
    "cannot be read",
)
"""Words by which a start reports damage."""


@dataclass
class Left:
    """What a session left: every state it had, its jobs; benders, what was learned and settings at the end."""

    states: list[str] = field(default_factory=list)
    jobs: dict[int, list[str]] = field(default_factory=dict)
    benders: tuple[Profile, ...] = ()
    learned: tuple[Learning, ...] = ()
    settings: dict[str, object] = field(default_factory=dict)


def _lasting(state: State) -> str:
    """What a person would miss of a state. Not its number: a job that was damaged gives way to a new one."""
    raw = state_to_json(state)
    place = {key: value for key, value in raw["now"].items() if key != "job_number"}
    return json.dumps([place, raw["sticks"], raw["units"]], sort_keys=True)


def left(folder: Path, rng: Random, steps: int) -> Left:
    """A session with two restarts."""
    made = Left()
    for _ in range(3):
        talk = RandomTalk(folder, rng)
        made.states.append(_lasting(talk.session.state))
        for _ in range(steps):
            talk.step()
            made.states.append(_lasting(talk.session.state))
            job = talk.session.state.now.job
            if job.sticks:
                made.jobs.setdefault(job.number, []).append(json.dumps(job_to_json(job)))
        talk.close()
    with closing(Store(folder)) as store:
        store.keep({"theme": "light", "volume_db": -8.0, "mic": "USB"})
        made.settings = store.settings()
    BenderFile(folder).keep(OWN)
    made.benders = BenderFile(folder).all()
    LearnedFile(folder).keep(learned_before(rng)[0], datetime.now(UTC))
    made.learned = kept_learning(folder)
    return made


# -- kinds of damage ----------------------------------------------------------------------------------------


def _bytes(path: Path, rng: Random) -> None:
    content = bytearray(path.read_bytes())
    for _ in range(rng.randint(1, 8)):
        content[rng.randrange(len(content))] ^= 1 << rng.randrange(8)
    path.write_bytes(content)


def _page(path: Path, rng: Random) -> None:
    content = bytearray(path.read_bytes())
    start = rng.randrange(max(1, len(content) // 4096)) * 4096
    content[start : start + 4096] = rng.choice([bytes(4096), rng.randbytes(4096)])
    path.write_bytes(content)


def _short(path: Path, rng: Random) -> None:
    os.truncate(path, rng.randrange(path.stat().st_size))


def _noise(path: Path, rng: Random) -> None:
    path.write_bytes(rng.randbytes(rng.randint(0, 9000)))


def _gone(path: Path, rng: Random) -> None:
    path.unlink()


def _digit(table: str, column: str) -> Callable[[Path, Random], None]:
    """One digit of one row, as a stray hand would change it."""

    def change(path: Path, rng: Random) -> None:
        with closing(sqlite3.connect(path)) as db:
            rows = db.execute(f"SELECT rowid, {column} FROM {table}").fetchall()
            rows = [row for row in rows if any(letter.isdecimal() for letter in str(row[1]))]
            if not rows:
                return
            row, text = rng.choice(rows)
            at = rng.choice([at for at, letter in enumerate(text) if letter.isdecimal()])
            other = str((int(text[at]) + rng.randint(1, 9)) % 10)
            db.execute(
                f"UPDATE {table} SET {column} = ? WHERE rowid = ?", (text[:at] + other + text[at + 1 :], row)
            )
            db.commit()

    return change


def _figure(path: Path, rng: Random) -> None:
    text = path.read_text("utf-8")
    at = rng.choice([at for at, letter in enumerate(text) if letter.isdecimal()])
    path.write_text(text[:at] + str((int(text[at]) + rng.randint(1, 9)) % 10) + text[at + 1 :], "utf-8")


def _pragma(name: str) -> Callable[[Path, Random], None]:
    def change(path: Path, rng: Random) -> None:
        with closing(sqlite3.connect(path)) as db:
            db.execute(f"PRAGMA {name} = 0")

    return change


def _row(table: str) -> Callable[[Path, Random], None]:
    def drop(path: Path, rng: Random) -> None:
        with closing(sqlite3.connect(path)) as db:
            db.execute(f"DELETE FROM {table}")
            db.commit()

    return drop


KINDS: dict[str, tuple[str, Callable[[Path, Random], None]]] = {
    "bytes of the job file": (JOB_FILE, _bytes),
    "a page of the job file": (JOB_FILE, _page),
    "the job file cut short": (JOB_FILE, _short),
    "the job file noise": (JOB_FILE, _noise),
    "a digit of the state": (JOB_FILE, _digit("state", "detail")),
    "a digit of a job": (JOB_FILE, _digit("jobs", "detail")),
    "a digit of a setting": (JOB_FILE, _digit("settings", "value")),
    "a digit of a record": (JOB_FILE, _digit("records", "detail")),
    "the state's row gone": (JOB_FILE, _row("state")),
    "the version gone": (JOB_FILE, _pragma("user_version")),
    "the job file empty": (JOB_FILE, lambda path, rng: os.truncate(path, 0)),
    "the job file gone": (JOB_FILE, _gone),
    "the mark gone": (JOB_FILE, _pragma("application_id")),
    "a journal of noise": (f"{JOB_FILE}-wal", _noise),
    "bytes of the benders": (BENDER_FILE, _bytes),
    "a figure of the benders": (BENDER_FILE, _figure),
    "the benders cut short": (BENDER_FILE, _short),
    "bytes of what was learned": (LEARNED_FILE, _bytes),
    "a figure of what was learned": (LEARNED_FILE, _figure),
    "what was learned cut short": (LEARNED_FILE, _short),
    "bytes of the backup": (BACKUP, _bytes),
    "the backup gone": (BACKUP, _gone),
    "the lock noise": ("jobs.lock", _noise),
}


# -- what a start makes of it -------------------------------------------------------------------------------


def wrong_in(folder: Path, before: Left) -> str:
    """What is wrong with a start on the damaged folder; nothing when all is as it must be."""
    talk = RandomTalk(folder, Random(0))
    with closing(talk.store):
        heard = f"{talk.said} {talk.shown}"
        told = any(words in heard for words in TOLD)
        if talk.session.faults:
            return f"a fault: {talk.session.faults[0]!r}"
        if not talk.shown.strip() or not (talk.said or talk.session.state.quiet):
            return "nothing is said or shown"
        found = _lasting(talk.recalled)
        fresh = _lasting(talk.recalled) == _lasting(initial())
        if found != before.states[-1] and not told:
            return "the place in the job is another, without a word"
        if found not in before.states and not fresh:
            return "a state that never was"
        if any(
            profile not in before.benders for profile in talk.recalled.profiles if profile.name == OWN.name
        ):
            return "a bender with other numbers"
        if before.benders and OWN not in talk.recalled.profiles and not told:
            return "a bender is gone without a word"
        if any(one not in before.learned for one in talk.recalled.learned):
            return "other things learned"
        if before.learned != talk.recalled.learned and not told:
            return "what was learned is gone without a word"
        if talk.store.settings() != before.settings and not told:
            return "settings are gone without a word"
    return _wrong_jobs(folder, before, told) or _second_start(folder)


def _wrong_jobs(folder: Path, before: Left, told: bool) -> str:
    with jobs.reading(folder) as db:
        kept = {one.job.number: one.job for one in jobs.jobs(db)}
        named = jobs.damaged(db)
    for number, versions in before.jobs.items():
        job: Job | None = kept.get(number)
        if job is None and number not in named and not told:
            return f"job {number} is gone without a word"
        if job is not None and json.dumps(job_to_json(job)) not in versions:
            return f"job {number} is another"
        if job is not None and json.dumps(job_to_json(job)) != versions[-1] and not told:
            return f"job {number} is an older one, without a word"
    return ""


def _second_start(folder: Path) -> str:
    talk = RandomTalk(folder, Random(0))
    with closing(talk.store):
        talk.step()
        if talk.session.faults or talk.store.unsaved:
            return "the second start does not work"
        if "carried over" in talk.said + talk.shown:
            return "the second start tells of it again"
    return ""


def trial(seed: int, kind: str, steps: int = 12) -> str:
    """One damage of a kind; what is wrong with what comes of it."""
    rng = Random(seed)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        before = left(folder, rng, steps)
        file, damage = KINDS[kind]
        with suppress(FileNotFoundError):
            damage(folder / file, rng)
        try:
            return wrong_in(folder, before)
        except Exception as error:
            return f"{type(error).__name__}: {error}"


def main() -> int:
    """The trials in turn through the kinds, and the count."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--trials", type=int, default=300)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument(
        "--steps", type=int, default=12, help="events of each of the three sessions before it"
    )
    args = parser.parse_args()
    counts: Counter[str] = Counter()
    failed: Counter[str] = Counter()
    names = list(KINDS)
    for number in range(args.trials):
        kind = names[number % len(names)]
        counts[kind] += 1
        if wrong := trial(args.seed + number, kind, args.steps):
            failed[kind] += 1
            print(f"seed {args.seed + number}, {kind}: {wrong}"[:300], flush=True)
    for kind, count in counts.items():
        print(f"{kind:<28} {count:4} trials, {failed[kind]} wrong")
    print(f"{args.trials} trials, {sum(failed.values())} wrong")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
