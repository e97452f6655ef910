"""Converts jobs from version 1 of the job file, using only what its records and state contain.

Version 1 stored no jobs, only records and the state of the conversation. Missing facts are listed in
`JobStick.not_recorded` and printed as not recorded.
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
"""Version 1 did not store the marks it spoke."""
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
    """The current job according to the records read so far."""

    tools: Tools | None = None
    own: bool = False
    units: Units | None = None
    profiles: dict[tuple[str, str], Profile] = field(default_factory=dict)
    run: str = "1"
    asked: bool = False
    by_voice: dict[str, list[bool]] = field(default_factory=dict)

    def take(self, row: _Row) -> None:
        """Apply one more record."""
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
        """A stick begun now, with its unknown facts marked."""
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
    """Write a row of `jobs` for every job of a version 1 file, and number the current job."""
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
    """Add digests to the settings of a file that had none."""
    for key, value in db.execute("SELECT key, value FROM settings").fetchall():
        db.execute("UPDATE settings SET digest = ? WHERE key = ?", (digest(str(value)), key))


def _in_hand(stick: JobStick) -> JobStick:
    """A stick from the state, which lacks only its spoken marks and the numbers of a typical bender."""
    typical = () if stick.tools.profile else (TYPICAL,)
    return replace(stick, not_recorded=(SPOKEN, *typical))


def _rows(db: sqlite3.Connection) -> Iterator[_Row]:
    for seq, job, at, kind, detail in db.execute(
        "SELECT seq, job, at, kind, detail FROM records ORDER BY seq"
    ):
        with suppress(ValueError):
            yield _Row(seq, job, at, kind, json.loads(detail))


def _jobs_of_records(rows: list[_Row]) -> dict[int, Job]:
    """The jobs described by the records, by number. Records that make no sense are skipped."""
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
    """Apply one record to the sticks of its job."""
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
    """The stick with a finished bend. A bend from a list may have had its own position on the stick."""
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
    """The number of the next pipe in its rack: one more than the previous pipe."""
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
    """The state, or None when there is none. An unreadable state is left for the session to report."""
    row = db.execute("SELECT detail FROM state").fetchone()
    if row is None:
        return None
    try:
        return state_from_json(json.loads(row[0]))
    except ValueError:
        return None


def _number_in_hand(rows: list[_Row], jobs: Mapping[int, Job]) -> int:
    """The number of the current job: that of the last record of a job, or a new one when that job was finished and
    another begun, or when its sticks came from a list (version 1 did not number such jobs)."""
    newest = max(jobs, default=0)
    begun = [row for row in rows if row.kind in (RecordKind.JOB_STARTED, RecordKind.BEND_BEGUN)]
    if not newest or (begun and begun[-1].job == 0 and rows[-1].kind != RecordKind.JOB_DONE):
        return newest + 1
    return newest


def _numbered(state: State, number: int) -> State:
    """The state with this job number and with the facts that were not recorded marked on its sticks."""

    def numbered(place: Place) -> Place:
        stick = _in_hand(place.stick) if place.stick.bends else place.stick
        return replace(place, job_number=number, stick=stick, done=tuple(map(_in_hand, place.done)))

    return replace(state, now=numbered(state.now), past=tuple(map(numbered, state.past)))
