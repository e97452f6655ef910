"""Power cuts: what is left of the job file when the disk lost or tore what was not yet forced onto it.

    python -m tests.benchmarks.power --cuts 500 --seed 1
    python -m tests.benchmarks.power --cuts 400 --seed 1 --kills

Random sessions run on a job file whose writes, truncations, deletions and syncs are recorded on their way into the
file system: SQLite is given a file layer (VFS) that notes each call and hands it on. For a cut at any of them the files
are made again as a disk may hold them: all that came before the last sync of that file, and of what came after it each
sector of 512 bytes as it was, as it was to be, or torn in the middle (what SQLite's own tests of crashes do;
sqlite.org/testing.html, section 4.2, from memory). Then Bench is started on that:

* it tells of no damage, and its state is that of the last step which had its reply, or of the one under way;
* the records and the jobs are of that same step.

With `--kills` the process ends there and the system goes on: all that was written is kept, the last write perhaps in
part. `--unforced` and `--apart` put faults in (no sync; records and state in two transactions): the study must notice.
"""

from __future__ import annotations

import argparse
import ctypes
import json
import os
import sqlite3
import sys
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from random import Random
from typing import Any

from bench.memory import jobs, schema
from bench.memory.schema import JOB_FILE
from bench.memory.store import Store
from tests.benchmarks.random_talk import RandomTalk, some_options

SECTOR = 512
_POINTERS = 18
"""Functions in `sqlite3_io_methods`, version 3 (sqlite3.h)."""
_CLOSE, _WRITE, _TRUNCATE, _SYNC = 0, 2, 3, 4
_FILE = ctypes.c_void_p


class _Methods(ctypes.Structure):
    _fields_ = (("version", ctypes.c_int), ("calls", ctypes.c_void_p * _POINTERS))


class _Vfs(ctypes.Structure):
    _fields_ = (
        ("version", ctypes.c_int),
        ("file_size", ctypes.c_int),
        ("longest", ctypes.c_int),
        ("next", ctypes.c_void_p),
        ("name", ctypes.c_char_p),
        ("own", ctypes.c_void_p),
        ("open", ctypes.c_void_p),
        ("delete", ctypes.c_void_p),
        ("rest", ctypes.c_void_p * 14),
    )


_Open = ctypes.CFUNCTYPE(ctypes.c_int, _FILE, ctypes.c_void_p, _FILE, ctypes.c_int, _FILE)
_Delete = ctypes.CFUNCTYPE(ctypes.c_int, _FILE, ctypes.c_void_p, ctypes.c_int)
# SQLite keeps the pointer to a name: it is handed on as it came, never as a copy.
_Write = ctypes.CFUNCTYPE(ctypes.c_int, _FILE, _FILE, ctypes.c_int, ctypes.c_int64)
_Truncate = ctypes.CFUNCTYPE(ctypes.c_int, _FILE, ctypes.c_int64)
_Sync = ctypes.CFUNCTYPE(ctypes.c_int, _FILE, ctypes.c_int)


@dataclass(frozen=True)
class Done:
    """Something done to a file: `write`, `truncate`, `delete` or `sync`; or a reply given (`told`)."""

    what: str
    file: str = ""
    at: int = 0
    data: bytes = b""
    told: str = ""


class Disk:
    """The file layer given to SQLite, and all that went through it to the job file of one folder."""

    def __init__(self) -> None:
        """Raises OSError where SQLite is not a library of its own that can be given a file layer."""
        self.log: list[Done] = []
        self.folder = Path("/nowhere")
        self._files: dict[int, str] = {}
        self._methods: dict[int, _Methods] = {}
        self._kept: list[object] = []
        library = ctypes.CDLL("libsqlite3.so.0")
        library.sqlite3_vfs_find.restype = ctypes.c_void_p
        major, minor, least = sqlite3.sqlite_version_info
        if library.sqlite3_libversion_number() != 1_000_000 * major + 1000 * minor + least:
            raise OSError("Python's SQLite is another one.")
        self._real = library.sqlite3_vfs_find(None)
        self._vfs = _Vfs.from_buffer_copy(ctypes.string_at(self._real, ctypes.sizeof(_Vfs)))
        self._real_open, self._real_delete = _Open(self._vfs.open), _Delete(self._vfs.delete)
        own_open, own_delete = _Open(self._open), _Delete(self._delete)
        self._kept += [own_open, own_delete]
        self._vfs.name = b"recorded"
        self._vfs.open = ctypes.cast(own_open, ctypes.c_void_p).value
        self._vfs.delete = ctypes.cast(own_delete, ctypes.c_void_p).value
        library.sqlite3_vfs_register(ctypes.byref(self._vfs), 1)

    def _ours(self, name: int | None) -> str:
        path = Path(os.fsdecode(ctypes.string_at(name))) if name else Path()
        return path.name if path.parent == self.folder and path.name.startswith(JOB_FILE) else ""

    def _open(self, vfs: int, name: int | None, file: int, flags: int, out: int) -> int:
        code = int(self._real_open(self._real, name, file, flags, out))
        ours = self._ours(name)
        if code == 0 and ours and not ours.endswith("-shm"):
            self._files[file] = ours
            methods = ctypes.cast(file, ctypes.POINTER(ctypes.c_void_p))
            methods[0] = ctypes.addressof(self._watched(int(methods[0] or 0)))
        return code

    def _delete(self, vfs: int, name: int | None, sync: int) -> int:
        if ours := self._ours(name):
            self.log.append(Done("delete", ours))
        return int(self._real_delete(self._real, name, sync))

    def _watched(self, methods: int) -> _Methods:
        """The functions of a file with ours before those that change it."""
        if methods in self._methods:
            return self._methods[methods]
        copy = _Methods.from_buffer_copy(ctypes.string_at(methods, ctypes.sizeof(_Methods)))
        write, truncate = _Write(copy.calls[_WRITE]), _Truncate(copy.calls[_TRUNCATE])
        sync = _Sync(copy.calls[_SYNC])

        def written(file: int, data: int, length: int, at: int) -> int:
            self.log.append(Done("write", self._files[file], at, ctypes.string_at(data, length)))
            return int(write(file, data, length, at))

        def truncated(file: int, length: int) -> int:
            self.log.append(Done("truncate", self._files[file], length))
            return int(truncate(file, length))

        def synced(file: int, flags: int) -> int:
            code = int(sync(file, flags))
            self.log.append(Done("sync", self._files[file]))
            return code

        for index, own in (
            (_WRITE, _Write(written)),
            (_TRUNCATE, _Truncate(truncated)),
            (_SYNC, _Sync(synced)),
        ):
            copy.calls[index] = ctypes.cast(own, ctypes.c_void_p).value
            self._kept.append(own)
        self._kept += [write, truncate, sync]
        self._methods[methods] = copy
        return copy


@cache
def disk() -> Disk:
    """The one file layer of this process."""
    return Disk()


@contextmanager
def recorded(folder: Path) -> Iterator[list[Done]]:
    """What is done to the job file in `folder` meanwhile."""
    layer = disk()
    layer.folder, layer.log = folder, []
    try:
        yield layer.log
    finally:
        layer.folder = Path("/nowhere")


def left_on_disk(log: Sequence[Done], rng: Random, killed: bool = False) -> dict[str, bytes]:
    """The files as a disk may hold them after these calls and a power cut, or after the process was `killed`."""
    files: dict[str, bytearray] = {}
    for name in {done.file for done in log if done.file}:
        of_file = [done for done in log if done.file == name]
        synced = max((at for at, done in enumerate(of_file) if done.what in ("sync", "delete")), default=-1)
        if killed:
            synced = len(of_file) - 2
        content: bytearray | None = bytearray()
        for at, done in enumerate(of_file):
            content = _applied(content, done, rng if at > synced else None)
        if content is not None:
            files[name] = content
    return {name: bytes(content) for name, content in files.items()}


def _applied(content: bytearray | None, done: Done, rng: Random | None) -> bytearray | None:
    """The file after a call; with `rng` the call may have reached the disk in part."""
    if done.what == "delete":
        return None
    content = bytearray() if content is None else content
    if done.what == "truncate":
        if rng is None or rng.random() < 0.5:
            del content[done.at :]
        return content
    for start in range(done.at, done.at + len(done.data), SECTOR) if done.what == "write" else ():
        piece = done.data[start - done.at : start - done.at + SECTOR]
        luck = 1.0 if rng is None else rng.random()
        if luck < 0.4:
            continue
        if luck < 0.5:
            piece = piece[: len(piece) // 2]
        if len(content) < start:
            content.extend(bytes(start - len(content)))
        content[start : start + len(piece)] = piece
    return content


def told(folder: Path) -> str:
    """All of the job file that a person could miss, as one text."""
    with jobs.reading(folder) as db:
        rows: list[Any] = [
            db.execute(f"SELECT * FROM {table} ORDER BY 1").fetchall() for table in ("jobs", "state")
        ]
        (count,) = db.execute("SELECT count(*) FROM records").fetchone()
    return json.dumps([*rows, count])


def session(folder: Path, rng: Random, steps: int) -> list[Done]:
    """A random session, with restarts, and all that it did to its job file; a reply is noted when it is given."""
    with recorded(folder) as log:
        talk = RandomTalk(folder, rng, some_options(rng, folder))
        log.append(Done("told", told=told(folder)))
        for _ in range(steps):
            if rng.random() < 0.06:
                talk.close()
                talk = RandomTalk(folder, rng, some_options(rng, folder))
            else:
                talk.step()
            log.append(Done("told", told=told(folder)))
        if talk.session.faults:
            raise talk.session.faults[0]
        cut_here = len(log)
        talk.close()
        return log[:cut_here]


def wrong_after(log: Sequence[Done], cut: int, rng: Random, killed: bool = False) -> str:
    """What is wrong when the power is cut after so many calls; nothing when all is as it must be."""
    replies = [done.told for done in log[:cut] if done.what == "told"]
    under_way = next((done.told for done in log[cut:] if done.what == "told"), None)
    if not replies:
        return ""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for file, content in left_on_disk(log[:cut], rng, killed).items():
            (folder / file).write_bytes(content)
        with closing(Store(folder)) as store:
            if store.notice[0]:
                return f"told of damage: {store.notice}"
        found = told(folder)
    if found == replies[-1] or found == under_way:
        return ""
    return "a step that had its reply is lost" if found in replies else "what is left is of no step"


@contextmanager
def faulty(unforced: bool, apart: bool) -> Iterator[None]:
    """Bench with one of two faults in it, to see that the study notices."""
    connect, write = schema.connect, Store._write

    def unsynced(path: Path) -> sqlite3.Connection:
        db = connect(path)
        db.execute("PRAGMA synchronous = OFF")
        return db

    def in_two(self: Store, db: sqlite3.Connection) -> None:
        state, self._state = self._state, None
        write(self, db)
        self._state, records, self._records = state, self._records, []
        write(self, db)
        self._records = records

    try:
        if unforced:
            schema.connect = unsynced
        if apart:
            Store._write = in_two  # type: ignore[method-assign]
        yield
    finally:
        schema.connect = connect
        Store._write = write  # type: ignore[method-assign]


def study(cuts: int, seed: int, steps: int = 40, killed: bool = False) -> tuple[int, list[str]]:
    """So many cuts, fifty to a session: how many there were, and what was wrong."""
    wrong, made = list[str](), 0
    while made < cuts:
        number = seed + made
        rng = Random(number)
        with tempfile.TemporaryDirectory() as folder:
            log = session(Path(folder).resolve(), rng, steps)
        first = next(at for at, done in enumerate(log) if done.what == "told") + 1
        for cut in (rng.randrange(first, len(log) + 1) for _ in range(min(50, cuts - made))):
            made += 1
            if said := wrong_after(log, cut, rng, killed):
                wrong.append(f"seed {number}, cut {cut} of {len(log)}: {said}"[:300])
    return made, wrong


def main() -> int:
    """The study, and its count."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--cuts", type=int, default=500)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--kills", action="store_true", help="kills of the process in place of power cuts")
    parser.add_argument("--unforced", action="store_true", help="never sync: the study must notice")
    parser.add_argument("--apart", action="store_true", help="two transactions: the study must notice")
    args = parser.parse_args()
    with faulty(args.unforced, args.apart):
        made, wrong = study(args.cuts, args.seed, killed=args.kills)
    for line in wrong[:20]:
        print(line)
    what = "kills inside file operations" if args.kills else "power cuts"
    print(f"{made} {what}, {len(wrong)} lost something or were told as damage")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
