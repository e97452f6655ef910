"""The job file. Each event's records, state and job are on disk before the reply."""

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
    """Writing to disk failed. Nothing is lost: the data stays in memory and is written with the next save."""


def wall_clock() -> str:
    """The current time, for display only: ISO 8601 in UTC, to the second."""
    return datetime.now(UTC).isoformat(timespec="seconds")


class Store:
    """The jobs in one folder, locked by one assistant at a time.

    Opening never fails because of the disk: `save` raises NotSaved until the disk works. Opening raises InUse
    when another assistant holds the folder and BenchError when a newer Bench wrote it. `notice` is what the
    person should know about the file, if anything: what happened, and where the old file is kept.
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
        """The last committed state, or None for a new user."""
        return json.loads(self._state) if self._state else None

    def settings(self) -> dict[str, Any]:
        """The last stored settings."""
        return {key: json.loads(value) for key, value in self._settings.items()}

    def keep(self, settings: Mapping[str, object]) -> None:
        """Store these settings in addition to the existing ones. Raises NotSaved."""
        self._settings = self._settings | {key: json.dumps(value) for key, value in settings.items()}
        self.save()

    def job(self, number: int) -> Job | None:
        """The last committed version of a job, or None when it does not exist or cannot be read."""
        with suppress(BenchError, sqlite3.Error):
            if self._db:
                return jobs.job(self._db, number).job
        return None

    def kept_jobs(self) -> list[jobs.KeptJob]:
        """All committed jobs that can be read. Empty while the file cannot be read."""
        with suppress(BenchError, sqlite3.Error):
            if self._db:
                return jobs.jobs(self._db)
        return []

    def next_job(self) -> int:
        """An unused job number."""
        return self._newest + 1

    def commit(self, state: Mapping[str, object], records: Sequence[Record], job: Job | None = None) -> None:
        """Write the state, its records and its job in one transaction. Raises NotSaved."""
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
        """Write a renamed job, keeping its time of change, together with the state if it belongs to this job.

        Raises NotSaved.
        """
        number = kept.job.number
        self._records.append((number, self._now(), str(record.kind), json.dumps(record.detail)))
        self._jobs[number] = (kept.changed, json.dumps(job_to_json(kept.job)))
        if state is not None:
            self._state = json.dumps(state)
        self.save()

    def save(self) -> None:
        """Write everything that is not on disk yet. Raises NotSaved."""
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
        """Release the folder. Unsaved data is lost when the process ends; see `unsaved`."""
        self._drop()
        self._hold.close()

    def tell(self, message: str, remedy: str) -> None:
        """Add a message for the person to those already pending."""
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
        """The open, checked file. A damaged one is set aside and a new one begun. Raises NotSaved, BenchError."""
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
        """Check that the folder is still ours and contains the open file. Raises NotSaved when another took it over.

        In that case this session saves nothing more, because it would overwrite the other session's work.
        """
        try:
            if self._taken:
                raise InUse(self.folder)
            if self._db and self._moved():
                self._drop()
                self._hold.close()
                self.tell("The job file was moved away. A new one was started.", f"It was {self.path}.")
            if self._hold.held:
                self._hold.renew()
            else:
                self._hold = Hold(self.folder)
        except InUse as error:
            self._taken = True
            self._drop()
            raise _taken(self.folder) from error

    def _moved(self) -> bool:
        """Whether the file was deleted or replaced. Writing to it would succeed and lose everything."""
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
                f"{where}{found.rows} entries, the newest from {newest} ({error}).",
            )
            return db

    def _refuse_lost(self) -> None:
        """Raise Damaged for a missing or empty file that has a backup: it existed before, so it is not new."""
        there = self.path.exists()
        if (self.folder / damage.BACKUP).exists() and not (there and self.path.stat().st_size):
            raise schema.Damaged("it was empty" if there else "it was missing")

    def _recall(self) -> None:
        """Load state and settings from the file, or from a copy of it when the folder cannot be written."""
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
        """Move a damaged state to the records and report it. What was bent is in the jobs."""
        (damaged,) = db.execute("SELECT detail FROM state").fetchone()
        detail = json.dumps({"damaged": str(damaged)})
        self._records.append((0, self._now(), RecordKind.STATE_NOT_READ.value, detail))
        self.tell(
            "The place in the job was damaged. What was bent is kept.",
            f"See: bench jobs. The damaged entry is in the log ({error}).",
        )

    def _miss_state(self, db: sqlite3.Connection, state: object) -> None:
        """Report a lost state. Every step writes a state, so records without one mean that it was lost."""
        if state is None and db.execute("SELECT 1 FROM records LIMIT 1").fetchone():
            self.tell("The place in the job is lost. What was bent is kept.", "See: bench jobs.")

    def _keep_damaged_settings(self, damaged: Mapping[str, str]) -> None:
        """Move corrupted settings to the records and report their names. They are not used."""
        detail = json.dumps({"damaged": damaged})
        self._damaged = tuple(damaged)
        self._records.append((0, self._now(), RecordKind.SETTING_NOT_READ.value, detail))
        names = ", ".join(name.replace("_", " ") for name in sorted(damaged))
        self.tell(
            f"Damaged settings are not used: {names}.",
            "Set them again. The old values are in bench jobs records.",
        )

    def _drop(self) -> None:
        if self._db:
            with suppress(sqlite3.Error), closing(self._db):
                pass
        self._db = None


def _ready(path: Path) -> sqlite3.Connection:
    """Open an intact job file, migrated to this version. Raises Damaged, BenchError, sqlite3.Error."""
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
    remedy = f"Use that one, or end both and start again. Both were on {folder}."
    return NotSaved("Another Bench has taken over these jobs. Work done here is not saved.", remedy)


def _not_saved(folder: Path, error: Exception) -> NotSaved:
    """The error for a failed write. The message is spoken, so it contains no path; the remedy is read."""
    reason = str(error)
    if "full" in reason or "space" in reason:
        return NotSaved(
            "The disk is full. The last steps are not saved yet.", f"Free some space on the disk of {folder}."
        )
    remedy = f"Make {folder} writable, or start with --data and another folder ({reason})."
    return NotSaved("The last steps cannot be saved.", remedy)
