"""The job file: every event's records, the state and the job after it, on disk before the reply."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Mapping, Sequence
from contextlib import closing, suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from bench.core.notes import BenchError
from bench.job.model import Job
from bench.job.records import Record, RecordKind
from bench.job.stored import job_to_json
from bench.memory import damage, jobs, schema
from bench.memory.digest import digest
from bench.memory.lock import Hold, InUse
from bench.memory.private import close_files, make_file, make_folder
from bench.memory.schema import JOB_FILE


class NotSaved(BenchError):
    """The disk did not take it. Nothing is lost: it is kept in memory and written with the next save."""


def wall_clock() -> str:
    """Now, for the eye only: ISO 8601 in UTC, to the second."""
    return datetime.now(UTC).isoformat(timespec="seconds")


class Store:
    """The jobs in one folder, held by one assistant at a time.

    Opening never fails because of the disk: then `save` raises NotSaved until the disk works. It raises
    InUse when another assistant holds the folder and BenchError when a newer Bench wrote it. `notice` is
    what the person should be told about the file, if anything: what happened, and where the old one is kept.
    """

    def __init__(self, folder: Path, now: Callable[[], str] = wall_clock) -> None:
        self.folder = folder
        self.path = folder / JOB_FILE
        self.notice = ("", "")
        self._now = now
        self._hold = Hold(folder)
        self._taken = False
        self._db: sqlite3.Connection | None = None
        self._inode = 0
        self._records: list[tuple[int, str, str, str]] = []
        self._jobs: dict[int, tuple[str, str]] = {}
        self._job: Job | None = None
        self._newest = 0
        self._state: str | None = None
        self._settings: dict[str, str] = {}
        self._damaged: tuple[str, ...] = ()
        self._saved: tuple[str | None, dict[str, str]] = (None, {})
        with suppress(NotSaved):
            self._open()
        self._recall()

    def load(self) -> dict[str, Any] | None:
        """The state as last committed, or None for a new user."""
        return json.loads(self._state) if self._state else None

    def settings(self) -> dict[str, Any]:
        """Settings as last kept."""
        return {key: json.loads(value) for key, value in self._settings.items()}

    def keep(self, settings: Mapping[str, object]) -> None:
        """Keep these settings beside those there are. Raises NotSaved."""
        self._settings = self._settings | {key: json.dumps(value) for key, value in settings.items()}
        self.save()

    def job(self, number: int) -> Job | None:
        """A job as last committed, or None when there is none that can be read."""
        with suppress(BenchError, sqlite3.Error):
            if self._db:
                return jobs.job(self._db, number).job
        return None

    def kept_jobs(self) -> list[jobs.KeptJob]:
        """Every job as last committed that can be read; none while the file cannot be."""
        with suppress(BenchError, sqlite3.Error):
            if self._db:
                return jobs.jobs(self._db)
        return []

    def next_job(self) -> int:
        """A number that no job of this folder has."""
        return self._newest + 1

    def commit(self, state: Mapping[str, object], records: Sequence[Record], job: Job | None = None) -> None:
        """Put the state, its records and its job on disk, together or not at all. Raises NotSaved."""
        now = self._now()
        number = job.number if job else 0
        self._records += [(number, now, str(record.kind), json.dumps(record.detail)) for record in records]
        self._state = json.dumps(state)
        if job and job.sticks and job != self._job:
            self._jobs[job.number] = (now, json.dumps(job_to_json(job)))
            self._job = job
            self._newest = max(self._newest, job.number)
        self.save()

    def rename(self, kept: jobs.KeptJob, record: Record, state: Mapping[str, object] | None) -> None:
        """Put a job that was only renamed on disk, last changed when it was, with the state where it is of it.

        Raises NotSaved.
        """
        number = kept.job.number
        self._records.append((number, self._now(), str(record.kind), json.dumps(record.detail)))
        self._jobs[number] = (kept.changed, json.dumps(job_to_json(kept.job)))
        if state is not None:
            self._state = json.dumps(state)
        self.save()

    def save(self) -> None:
        """Write everything that is not on disk yet; nothing when all is. Raises NotSaved."""
        if not self.unsaved:
            return
        db = self._open()
        try:
            self._write(db)
        except (sqlite3.Error, OSError) as error:
            self._drop()
            raise _not_saved(self.folder, error) from error
        self._records.clear()
        self._damaged = ()
        self._jobs.clear()
        self._saved = (self._state, self._settings)

    @property
    def unsaved(self) -> bool:
        """Whether something is in memory only."""
        return bool(self._records or self._jobs) or self._saved != (self._state, self._settings)

    def close(self) -> None:
        """Release the folder. What could not be saved is lost with the process; see `unsaved`."""
        self._drop()
        self._hold.close()

    def tell(self, message: str, remedy: str) -> None:
        """Something the person should be told, beside what there is to tell already."""
        told, remedies = self.notice
        if message not in told:
            self.notice = (f"{told} {message}".strip(), f"{remedies} {remedy}".strip())

    def _write(self, db: sqlite3.Connection) -> None:
        db.execute("BEGIN IMMEDIATE")
        db.executemany("INSERT INTO records (job, at, kind, detail) VALUES (?, ?, ?, ?)", self._records)
        for number, (at, detail) in self._jobs.items():
            db.execute(
                "INSERT INTO jobs VALUES (?1, ?2, ?2, ?3, ?4)"
                " ON CONFLICT (number) DO UPDATE SET changed = ?2, detail = ?3, digest = ?4",
                (number, at, detail, digest(detail)),
            )
        if self._state is not None:
            db.execute("INSERT OR REPLACE INTO state VALUES (1, ?, ?)", (self._state, digest(self._state)))
        db.executemany("DELETE FROM settings WHERE key = ?", [(key,) for key in self._damaged])
        rows = [(key, value, digest(value)) for key, value in self._settings.items()]
        db.executemany("INSERT OR REPLACE INTO settings VALUES (?, ?, ?)", rows)
        db.execute("COMMIT")

    def _open(self) -> sqlite3.Connection:
        """The open file: checked, set aside and begun again when damaged. Raises NotSaved, BenchError."""
        self._keep_hold()
        if self._db:
            return self._db
        try:
            make_folder(self.folder)
            self._db = self._sound()
            damage.back_up(self._db, self.folder)
            close_files(self.folder)
            self._inode = self.path.stat().st_ino
        except (sqlite3.Error, OSError) as error:
            raise _not_saved(self.folder, error) from error
        return self._db

    def _keep_hold(self) -> None:
        """The folder is still ours, and the open file is the one in it. Raises NotSaved when another has taken it.

        Then this session saves nothing more, for it would write over what the other has done.
        """
        try:
            if self._taken:
                raise InUse(self.folder)
            if self._db and self._moved():
                self._drop()
                self._hold.close()
                self.tell("The job file was moved away. A new one was begun.", f"It was {self.path}.")
            if self._hold.held:
                self._hold.renew()
            else:
                self._hold = Hold(self.folder)
        except InUse as error:
            self._taken = True
            self._drop()
            raise _taken(self.folder) from error

    def _moved(self) -> bool:
        """Writing to a file that has been deleted or replaced succeeds and loses everything: look first."""
        try:
            return self.path.stat().st_ino != self._inode
        except OSError:
            return True

    def _sound(self) -> sqlite3.Connection:
        try:
            self._refuse_lost()
            make_file(self.path)
            return _ready(self.path)
        except schema.Damaged as error:
            kept = damage.set_aside(self.path)
            db = _ready(self.path)
            found = damage.salvage(kept, db)
            since = " as of the last start" if found.from_backup else ""
            newest = found.newest or "an unknown time"
            where = f"It is kept as {kept}; " if kept.exists() else ""
            self.tell(
                f"The job file was damaged. What could be read was carried over{since}.",
                f"{where}{found.rows} entries, the newest of {newest} ({error}).",
            )
            return db

    def _refuse_lost(self) -> None:
        """Where there is a copy there was a file: one that is gone or empty is no new one. Raises Damaged."""
        there = self.path.exists()
        if (self.folder / damage.BACKUP).exists() and not (there and self.path.stat().st_size):
            raise schema.Damaged("it was empty" if there else "it was gone")

    def _recall(self) -> None:
        """Take state and settings from the file; where the folder cannot be written, from a copy of it."""
        with suppress(BenchError, OSError):
            if self._db:
                self._take(self._db)
            elif self.path.exists():
                with jobs.reading(self.folder) as db:
                    self._take(db)

    def _take(self, db: sqlite3.Connection) -> None:
        try:
            state = jobs.state(db)
        except BenchError as error:
            state = None
            self._keep_damaged_state(db, error)
        else:
            self._miss_state(db, state)
        self._state = None if state is None else json.dumps(state)
        kept, damaged = jobs.settings(db)
        self._settings = {key: json.dumps(value) for key, value in kept.items()}
        if damaged:
            self._keep_damaged_settings(damaged)
        self._newest = jobs.newest(db)
        self._saved = (self._state, self._settings)

    def _keep_damaged_state(self, db: sqlite3.Connection, error: BenchError) -> None:
        """A damaged state is put among the records and told; what was bent is in the jobs."""
        (damaged,) = db.execute("SELECT detail FROM state").fetchone()
        detail = json.dumps({"damaged": str(damaged)})
        self._records.append((0, self._now(), RecordKind.STATE_NOT_READ.value, detail))
        self.tell(
            "The place in the job was damaged. What was bent is kept.",
            f"See: bench jobs. The damaged entry is in the log ({error}).",
        )

    def _miss_state(self, db: sqlite3.Connection, state: object) -> None:
        """Every step writes its state: where there are records and no state, it was lost."""
        if state is None and db.execute("SELECT 1 FROM records LIMIT 1").fetchone():
            self.tell("The place in the job is lost. What was bent is kept.", "See: bench jobs.")

    def _keep_damaged_settings(self, damaged: Mapping[str, str]) -> None:
        """Settings that were changed by damage are put among the records, named, and not used."""
        detail = json.dumps({"damaged": damaged})
        self._damaged = tuple(damaged)
        self._records.append((0, self._now(), RecordKind.SETTING_NOT_READ.value, detail))
        names = ", ".join(name.replace("_", " ") for name in sorted(damaged))
        self.tell(
            f"Damaged settings are not used: {names}.",
            "Set them again; what was kept is in bench jobs records.",
        )

    def _drop(self) -> None:
        if self._db:
            with suppress(sqlite3.Error), closing(self._db):
                pass
        self._db = None


def _ready(path: Path) -> sqlite3.Connection:
    """A file that is ours, sound and of this version. Raises Damaged, BenchError, sqlite3.Error."""
    try:
        db = schema.connect(path)
    except sqlite3.OperationalError:
        raise
    except sqlite3.DatabaseError as error:
        raise schema.Damaged(str(error)) from error
    try:
        schema.examine(db)
        schema.upgrade(db, path)
    except BaseException:
        db.close()
        raise
    return db


def _taken(folder: Path) -> NotSaved:
    remedy = f"Go on in that one, or end both and start again. They were both on {folder}."
    return NotSaved("Another Bench has taken over these jobs. What is done here is not saved.", remedy)


def _not_saved(folder: Path, error: Exception) -> NotSaved:
    """The message is spoken, so it holds no path; the remedy is read."""
    reason = str(error)
    if "full" in reason or "space" in reason:
        return NotSaved(
            "The disk is full. The last steps are not saved yet.", f"Make room on the disk of {folder}."
        )
    remedy = f"Make {folder} writable, or start with --data and another folder ({reason})."
    return NotSaved("The last steps cannot be saved.", remedy)
