"""Whole sessions at random: what `fuzz` does to the dialogue, done to everything around it that keeps something.

    python -m tests.benchmarks.fuzz_sessions --sessions 200 --steps 60 --seed 1

A real session on a real job file: restarts with other options (millimeters, quiet, a list), kills without closing, a
disk that takes nothing for a while, benders measured or damaged, states of which a later version's fields are missing,
jobs listed, exported, read back and put on paper, and events posted from several threads at once. What must hold:

* no exception and no fault caught; something is shown for every event;
* after every event the disk holds the state, or something is unsaved and the person was told;
* what a restart recalls is what was left, but for what its options change; what was learned of the bender too;
* a job on disk is the job in hand; it comes back from its export with the same marks, and goes on paper;
* a state without a field of a later version is read, or told as not readable; never an exception.
"""

from __future__ import annotations

import argparse
import json
import sys
import tempfile
import threading
import time
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from random import Random
from typing import Any

from bench.assistant.benders import kept_learning
from bench.assistant.loop import Loop
from bench.assistant.paper import write_sheet
from bench.assistant.performer import Performer
from bench.assistant.plain import PlainDisplay
from bench.assistant.ports import Ports
from bench.data.bundle import knowledge
from bench.dialogue.events import Key, Pressed, Said, Silence
from bench.dialogue.state import Stage, State, state_from_json, state_to_json
from bench.job.export import layout_to_csv, layout_to_json
from bench.job.layout import lay_out_job
from bench.job.learning import Learning
from bench.job.model import Job
from bench.job.written import job_from_written, job_to_written
from bench.language.meaning import typed
from bench.memory import jobs
from bench.memory.learned import LearnedFile
from tests.benchmarks.fuzz import learned_before, require
from tests.benchmarks.random_talk import RandomTalk, some_options

THREADS = 3
MORNING = datetime(2026, 3, 2, 7, tzinfo=UTC)


def _by_key(learned: Iterable[Learning]) -> list[Learning]:
    return sorted(learned, key=lambda one: one.key)


def _kept(state: State) -> str:
    return json.dumps(state_to_json(state), sort_keys=True)


class Sessions:
    """One person over several starts on one folder."""

    def __init__(self, folder: Path, rng: Random) -> None:
        self.rng, self.folder = rng, folder
        self.done: Counter[str] = Counter()
        if rng.random() < 0.4:
            for learning in learned_before(rng):
                LearnedFile(folder).keep(learning, MORNING)
        self.talk = RandomTalk(folder, rng, some_options(rng, folder))
        self._looked_at()

    def step(self) -> None:
        """An event, or something that happens around it."""
        luck = self.rng.random()
        if luck < 0.86:
            self.talk.step()
            self.done["event"] += 1
            require(bool(self.talk.shown.strip()), "nothing is shown")
        elif luck < 0.90:
            self._restart()
        elif luck < 0.93:
            self._full_disk()
        elif luck < 0.95:
            self._older_state()
        elif luck < 0.97:
            self._threads()
        else:
            self._paper()
        self._looked_at()

    def close(self) -> None:
        """End the last session."""
        self._paper()
        self.talk.close()

    def _looked_at(self) -> None:
        talk = self.talk
        require(not talk.session.faults, f"a fault: {talk.session.faults[:1]!r}")
        require(not talk.store.unsaved, "not saved, on a disk that works")
        require(
            _by_key(kept_learning(self.folder)) == _by_key(talk.session.state.learned), "other things learned"
        )
        self.done[f"at {talk.session.state.now.stage}"] += talk.session.state.now.stage is Stage.LEARNED
        with jobs.reading(self.folder) as db:
            found = jobs.state(db)
            require(
                found is not None and json.dumps(found, sort_keys=True) == _kept(talk.session.state),
                "another state",
            )
            job = talk.session.state.now.job
            if job.sticks:
                require(jobs.job(db, job.number).job == job, "another job")

    def _restart(self) -> None:
        """A kill, as far as the job file goes: nothing is written at the end."""
        before = self.talk.session.state
        self.talk.close()
        options = some_options(self.rng, self.folder)
        self.talk = RandomTalk(self.folder, self.rng, options)
        found = self.talk.recalled
        plain = replace(found, quiet=before.quiet, units=before.units, queue=before.queue)
        plain = replace(plain, now=replace(plain.now, queued=before.now.queued))
        if not before.now.job.sticks and found.now.job_number != before.now.job_number:
            # All of a job was undone: its row stays, and what is begun anew takes the next number.
            numbered = [
                replace(place, job_number=before.now.job_number) for place in (plain.now, *plain.past)
            ]
            plain = replace(plain, now=numbered[0], past=tuple(numbered[1:]))
        require(_kept(plain) == _kept(before), "a restart recalls something else")
        require(_by_key(found.learned) == _by_key(before.learned), "a restart recalls other things learned")
        require(found.quiet or not options.quiet, "started quiet, and it speaks")
        require(bool(self.talk.shown.strip()), "a blank start")
        self.done["restart"] += 1

    def _full_disk(self) -> None:
        """The job file is taken away and a folder put there: nothing can be written until it is gone."""
        path = self.talk.store.path
        aside = path.with_name("aside.db")
        self.talk.store._drop()
        path.rename(aside)
        path.mkdir()
        before = _kept(self.talk.session.state)
        for _ in range(self.rng.randint(1, 4)):
            self.talk.step()
        changed = _kept(self.talk.session.state) != before
        require(self.talk.store.unsaved or not changed, "a folder took a job")
        path.rmdir()
        aside.rename(path)
        self.talk.session.save_again()
        self.done["full disk"] += 1

    def _older_state(self) -> None:
        """The state as a version would have written it that knew one thing less."""
        raw = json.loads(_kept(self.talk.session.state))
        part = self.rng.choice(_tables(raw))
        if part:
            del part[self.rng.choice(sorted(part))]
        try:
            state_from_json(raw)
        except ValueError:
            self.done["state refused"] += 1
        self.done["older state"] += 1

    def _threads(self) -> None:
        """The same session under its loop, events coming from several threads at once."""
        performer = Performer(Ports(PlainDisplay(open("/dev/null", "w"))), lambda: None)  # noqa: SIM115
        loop: Loop[State] = Loop(self.talk.session, performer)

        def post(seed: int) -> None:
            rng = Random(seed)
            for _ in range(5):
                words = rng.choice(
                    ("yes", "no", "next", "repeat", "undo", "emt", "half inch", "what did you say")
                )
                loop.post(rng.choice((Said(typed(words)), Pressed(Key.NEXT), Silence(30.0))))
                time.sleep(rng.uniform(0, 0.002))

        threads = [threading.Thread(target=post, args=(self.rng.random(),)) for _ in range(THREADS)]
        for thread in threads:
            thread.start()
        while any(thread.is_alive() for thread in threads):
            loop.drain()
        loop.drain()
        self.done["threads"] += 1

    def _paper(self) -> None:
        """The job in hand listed, exported, read back and on paper."""
        job = self.talk.session.state.now.job
        if not job.sticks:
            return
        layout = lay_out_job(job, knowledge())
        json.dumps(layout_to_json(layout))
        layout_to_csv(layout)
        again = job_from_written(json.loads(json.dumps(job_to_written(job))))
        require(_worked_out(again) == _worked_out(job), "the export has other marks or material")
        require(write_sheet(job, knowledge(), self.folder).stat().st_size > 1000, "an empty sheet")
        self.done["paper"] += 1


def _worked_out(job: Job) -> tuple[object, ...]:
    """The marks of every stick as they are worked out from what was asked, and what to fetch and cut for them."""
    asked = replace(job, sticks=tuple(replace(one, spoken=None) for one in job.sticks))
    laid = lay_out_job(asked, knowledge())
    marks = [
        tuple((mark.at, mark.bend, mark.roll, mark.pull) for mark in one.stick.marks) if one.stick else None
        for one in laid.sticks
    ]
    return marks, laid.run.materials, laid.run.cuttings


def _tables(raw: object) -> list[dict[str, Any]]:
    """Every table in a state's JSON."""
    if isinstance(raw, Mapping):
        return [raw, *(table for value in raw.values() for table in _tables(value))]  # type: ignore[list-item]
    if isinstance(raw, list):
        return [table for value in raw for table in _tables(value)]
    return []


def live(seed: int, steps: int) -> Counter[str]:
    """One person's sessions; what was done. Raises Broken, or what was raised."""
    rng = Random(seed)
    with tempfile.TemporaryDirectory() as name:
        person = Sessions(Path(name), rng)
        try:
            for _ in range(steps):
                person.step()
            person.close()
        except Exception as error:
            last = "\n  ".join(map(repr, person.talk.events[-6:]))
            error.add_note(
                f"seed {seed}, {dict(person.done)}, at {person.talk.session.state.now.stage}\n  {last}"
            )
            person.talk.close()
            raise
        return person.done


def main() -> int:
    """Run many; count what was done and what broke."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--sessions", type=int, default=200)
    parser.add_argument("--steps", type=int, default=60)
    parser.add_argument("--seed", type=int, default=1)
    args = parser.parse_args()
    done: Counter[str] = Counter()
    faults: Counter[str] = Counter()
    for seed in range(args.seed, args.seed + args.sessions):
        try:
            done += live(seed, args.steps)
        except Exception as error:
            name = f"{type(error).__name__}: {str(error)[:100]}"
            if not faults[name]:
                print(name, *getattr(error, "__notes__", ()), sep="\n", flush=True)
            faults[name] += 1
    print(f"{args.sessions} sessions, {sum(faults.values())} broken; done: {dict(done)}")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
