"""Jobs written by version 1 of the job file: what its records and its state tell of them, and nothing more.

Version 1 kept no job, only records and the state of the conversation. What they do not tell is named in
`JobStick.not_recorded`; paper shows it as not recorded.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Any

from bench.core.given import measure_key
from bench.core.lengths import Units
from bench.core.plan import Method
from bench.dialogue.state import Place, State, state_from_json, state_to_json
from bench.job.model import Job, JobBend, JobStick, Profile, Tools
from bench.job.records import RecordKind
from bench.job.stored import job_to_json, number_from_json
from bench.memory.digest import digest

SPOKEN = "marks as spoken"
"""Version 1 never wrote down the marks it spoke."""
TYPICAL = "numbers of the typical bender"


@dataclass(frozen=True, slots=True)
class _Row:
    seq: int
    job: int
    at: str
    kind: str
    detail: Mapping[str, Any]


@dataclass(slots=True)
class _InHand:
    """What the records up to here say was in hand."""

    tools: Tools | None = None
    own: bool = False
    units: Units | None = None
    profiles: dict[tuple[str, str], Profile] = field(default_factory=dict)
    run: str = "1"
    asked: bool = False
    by_voice: dict[str, list[bool]] = field(default_factory=dict)

    def take(self, row: _Row) -> None:
        """One record more."""
        detail = row.detail
        if row.kind == RecordKind.SET_UP:
            self.own = detail["bender"] != "typical"
            self.tools = Tools(str(detail["conduit"]), str(detail["size"]))
        elif row.kind == RecordKind.BENDER:
            profile = _profile(detail)
            self.profiles[profile.conduit, profile.size] = profile
        elif row.kind == RecordKind.SETTING and "units" in detail:
            self.units = Units(detail["units"])
        elif row.kind == RecordKind.RUN_BEGUN:
            self.run = str(detail["run"])
        elif row.kind == RecordKind.JOB_STARTED:
            self.run = "1"
        elif row.kind == RecordKind.BEND_BEGUN:
            self.asked = True
        elif row.kind == RecordKind.CONFIRMED:
            self.by_voice.setdefault(str(detail["stick"]), []).append(self.asked)
            self.asked = False

    def stick(self, name: str) -> JobStick:
        """A stick begun now, with what is not known of it."""
        missing = [SPOKEN]
        tools = self.tools or Tools()
        if self.tools is None:
            missing += ["conduit", "size", "bender"]
        elif self.own:
            profile = self.profiles.get((tools.conduit, tools.size))
            tools = replace(tools, profile=profile)
            missing += [] if profile else ["bender"]
        else:
            missing.append(TYPICAL)
        if self.units is None:
            missing.append("units")
        units = self.units or Units.INCH
        return JobStick(name, tools=tools, units=units, run=self.run, not_recorded=tuple(missing))


def fill_jobs(db: sqlite3.Connection) -> None:
    """Write a row of `jobs` for every job of a version 1 file, and number the job in hand."""
    rows = list(_rows(db))
    jobs = _jobs_of_records(rows)
    state = _state(db)
    if state is not None:
        number = _number_in_hand(rows, jobs)
        state = _numbered(state, number)
        if state.now.job.sticks:
            jobs[number] = state.now.job
        kept = json.dumps(state_to_json(state))
        db.execute("UPDATE state SET detail = ?, digest = ?", (kept, digest(kept)))
    for number, job in jobs.items():
        times = [row.at for row in rows if row.job == number] or [row.at for row in rows[-1:]] or [""]
        detail = json.dumps(job_to_json(job))
        row = (number, times[0], times[-1], detail, digest(detail))
        db.execute("INSERT INTO jobs VALUES (?, ?, ?, ?, ?)", row)


def fill_settings(db: sqlite3.Connection) -> None:
    """Write the digest beside every setting of a file that had none."""
    for key, value in db.execute("SELECT key, value FROM settings").fetchall():
        db.execute("UPDATE settings SET digest = ? WHERE key = ?", (digest(str(value)), key))


def _in_hand(stick: JobStick) -> JobStick:
    """A stick of the state: only its spoken marks and a typical bender's numbers are not in it."""
    typical = () if stick.tools.profile else (TYPICAL,)
    return replace(stick, not_recorded=(SPOKEN, *typical))


def _rows(db: sqlite3.Connection) -> Iterator[_Row]:
    for seq, job, at, kind, detail in db.execute(
        "SELECT seq, job, at, kind, detail FROM records ORDER BY seq"
    ):
        with suppress(ValueError):
            yield _Row(seq, job, at, kind, json.loads(detail))


def _jobs_of_records(rows: list[_Row]) -> dict[int, Job]:
    """The jobs that records tell of, by number; a record that does not make sense is left out."""
    in_hand = _InHand()
    jobs: dict[int, Job] = {}
    sticks: dict[int, dict[str, JobStick]] = {}
    for row in rows:
        with suppress(KeyError, ValueError, TypeError):
            in_hand.take(row)
            if row.job:
                jobs.setdefault(row.job, Job(row.job))
                _take(row, in_hand, sticks.setdefault(row.job, {}))
        if row.kind == RecordKind.JOB_DONE and row.job in jobs:
            jobs[row.job] = replace(jobs[row.job], finished=True)
    return {
        number: replace(job, sticks=tuple(stick for stick in sticks[number].values() if stick.bends))
        for number, job in jobs.items()
    }


def _take(row: _Row, in_hand: _InHand, sticks: dict[str, JobStick]) -> None:
    """What one record says of the sticks of its job."""
    detail = row.detail
    if row.kind == RecordKind.CONFIRMED:
        sticks.setdefault(str(detail["stick"]), in_hand.stick(str(detail["stick"])))
    elif row.kind == RecordKind.SAME_AGAIN:
        name = str(detail["stick"])
        stick = sticks.setdefault(name, in_hand.stick(name))
        sticks[name] = replace(stick, shift=Fraction(detail["shift"]), pipe=_next_pipe(sticks, name))
    elif row.kind == RecordKind.REMADE:
        stick = sticks[str(detail["stick"])]
        sticks[stick.name] = replace(stick, bends=())
    elif row.kind == RecordKind.BEND_DONE:
        name = str(detail["stick"])
        stick = sticks.setdefault(name, in_hand.stick(name))
        asked = in_hand.by_voice.get(name, [])
        sticks[name] = _with_bend(stick, detail, any(asked[len(stick.bends) : len(stick.bends) + 1]))


def _with_bend(stick: JobStick, detail: Mapping[str, Any], by_voice: bool) -> JobStick:
    """The stick with a finished bend; a bend from a list may have had a place of its own on the stick."""
    missing = list(stick.not_recorded)
    if "roll" not in detail:
        missing.append("turn")
    if not by_voice and stick.pipe == 1:
        missing.append("position")
    answers = tuple((measure_key(key), number_from_json(value)) for key, value in detail["measures"].items())
    bend = JobBend(
        str(detail["kind"]),
        answers,
        Method(detail["method"]),
        finished=True,
        roll=float(detail.get("roll", 0.0)),
    )
    return replace(stick, bends=(*stick.bends, bend), not_recorded=tuple(dict.fromkeys(missing)))


def _next_pipe(sticks: Mapping[str, JobStick], name: str) -> int:
    """Which pipe of its rack a further one is: one more than the pipe begun before it."""
    before = [stick.pipe for other, stick in sticks.items() if other != name]
    return before[-1] + 1 if before else 1


def _profile(detail: Mapping[str, Any]) -> Profile:
    return Profile(
        "mine",
        str(detail["conduit"]),
        str(detail["size"]),
        Fraction(detail["take_up"]),
        Fraction(detail["gain"]),
        float(detail["springback"]),
    )


def _state(db: sqlite3.Connection) -> State | None:
    """The state, where there is one that can be read; an unreadable one is left for the session to tell."""
    row = db.execute("SELECT detail FROM state").fetchone()
    if row is None:
        return None
    try:
        return state_from_json(json.loads(row[0]))
    except ValueError:
        return None


def _number_in_hand(rows: list[_Row], jobs: Mapping[int, Job]) -> int:
    """The number of the job in hand: that of the last record of a job, or a new one when that job was done
    and another begun, or when its sticks came from a list (version 1 gave such jobs no number)."""
    newest = max(jobs, default=0)
    begun = [row for row in rows if row.kind in (RecordKind.JOB_STARTED, RecordKind.BEND_BEGUN)]
    if not newest or (begun and begun[-1].job == 0 and rows[-1].kind != RecordKind.JOB_DONE):
        return newest + 1
    return newest


def _numbered(state: State, number: int) -> State:
    """The state on the job of this number, its sticks with what was not recorded."""

    def numbered(place: Place) -> Place:
        stick = _in_hand(place.stick) if place.stick.bends else place.stick
        return replace(place, job_number=number, stick=stick, done=tuple(map(_in_hand, place.done)))

    return replace(state, now=numbered(state.now), past=tuple(map(numbered, state.past)))
