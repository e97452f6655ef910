"""Hostile input to every command that takes a file, text or words: answered or refused, how fast, in how much memory.

    python -m tests.benchmarks.hostile
    python -m tests.benchmarks.hostile --only sheet

Each case is a process of its own, as the person would start it. It must end by itself with an exit code of 0, 1 or 2,
without a traceback, within a second of processor time and 200 MB beyond what the same command takes for a small input.
Where lines are answered as they come and there are very many of them, only that they are answered is looked at. One
line a case; exits 1 when one went over.
"""

from __future__ import annotations

import argparse
import json
import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path

SECONDS, MEGABYTES = 1.0, 200.0
_PATIENCE = 20.0
_ANSWERED = 50
"""Lines of an answer within that time, the machine being busy."""
_CEILING = 3 << 30
"""Bytes of address space a case may ask for: a runaway one must not take the machine."""

Make = Callable[[Path], object]


def _text(content: str, encoding: str = "utf-8") -> Make:
    return lambda path: path.write_text(content, encoding)


def _sparse(size: int) -> Make:
    def make(path: Path) -> None:
        with path.open("wb") as file:
            file.truncate(size)

    return make


def _long(piece: bytes, size: int) -> Make:
    def make(path: Path) -> None:
        with path.open("wb") as file:
            for _ in range(size // (len(piece) << 10)):
                file.write(piece * 1024)

    return make


def _stick(name: str, bends: list[object]) -> dict[str, object]:
    return {"name": name, "setup": {"conduit": "emt", "size": "1/2"}, "bends": bends}


def _stub(height: object) -> dict[str, object]:
    return {"kind": "stub", "measures": {"height": height}}


def _bend(kind: str, **measures: object) -> dict[str, object]:
    return {"kind": kind, "measures": measures}


def _job(*sticks: dict[str, object]) -> str:
    return json.dumps({"name": "x", "sticks": sticks})


def _simulated(bends: list[object], **more: object) -> str:
    bender = {"take_up": 5, "gain": 2.423, "od": 0.706}
    return json.dumps({"bender": bender, "length": 120, "bends": bends, **more})


def _turn(at: object, bend: object = 30) -> dict[str, object]:
    return {"at": at, "bend": bend}


ANY: dict[str, Make] = {
    "1 GB of nothing": _sparse(1 << 30),
    "100 MB in one line": _long(b"a", 100_000_000),
    "100 MB of brackets": _long(b"[", 100_000_000),
    "100 MB of lines": _long(b"a,b\n", 100_000_000),
    "a million words": _long(b"twenty ", 7_000_000),
    "100,000 brackets": _text("[" * 100_000),
    "3 MB of small lists": _text("[" + "[]," * 999_000 + "[]]"),
    "null bytes": _text("\0" * 1000),
    "UTF-16": _text('{"name": "x"}', "utf-16"),
    "Latin-1": _text("stick,bend\nä,ö\n", "latin-1"),
    "a pipe nobody writes to": lambda path: os.mkfifo(path),
    "a folder": lambda path: path.mkdir(),
    "/dev/zero": lambda path: path.symlink_to("/dev/zero"),
    "/dev/null": lambda path: path.symlink_to("/dev/null"),
}
"""What may stand where any file is asked for."""

NUMBERS = ("NaN", "Infinity", "-Infinity", "1e308", "1e999", "9" * 400, "9" * 5000, "9" * 100_000, "1e-320")
_LONG = "9" * 100_000


def _with_each(what: str, text: str) -> dict[str, Make]:
    """The text with every hostile number in the place of 7777."""
    return {f"{what} {n[:12]} ({len(n)})": _text(text.replace("7777", n)) for n in NUMBERS}


SIMULATED: dict[str, Make] = {
    **_with_each("a mark at", _simulated([_turn(7777)])),
    **_with_each("a bend of", _simulated([_turn(9, 7777)])),
    **_with_each("roll", _simulated([{**_turn(30), "roll": 7777}])),
    "a mark of 100,000 digits in words": _text(_simulated([_turn(_LONG)])),
    "a fraction of 100,000 digits": _text(_simulated([_turn("1/" + _LONG)])),
    "10,000 bends": _text(_simulated([_turn(n / 100, 0.01) for n in range(10_000)])),
    "200 bends": _text(_simulated([_turn(5 + n / 2, 0.1) for n in range(200)])),
    "10,000 obstructions": _text(
        _simulated([_turn(30)], obstructions=[{"near": 1, "far": 2, "height": 3}] * 10_000)
    ),
    "a gain of 1e300": _text(_simulated([_turn(30)]).replace("2.423", "1e300")),
    "a length of 1e300": _text(_simulated([_turn(30)]).replace("120", "1e300")),
    "a bender of 1e-300": _text(_simulated([_turn(30)]).replace("0.706", "1e-300")),
}

JOBS: dict[str, Make] = {
    **_with_each("a height of", _job(_stick("a", [_stub(7777)]))),
    "a height of 100,000 digits in words": _text(_job(_stick("a", [_stub(_LONG)]))),
    "a fraction of 100,000 digits": _text(_job(_stick("a", [_stub("1/" + _LONG)]))),
    "20,000 sticks": _text(_job(*[_stick(str(n), [_stub(12)]) for n in range(20_000)])),
    "copies of copies": _text(_job(*[{**_stick(str(n), [_stub(12)]), "copies": 500} for n in range(400)])),
    "10,000 bends in a stick": _text(_job(_stick("a", [_stub(12)] * 10_000))),
    "100 bends in a stick": _text(_job(_stick("a", [_stub(12)] * 100))),
    "100,000 measures": _text(
        _job(_stick("a", [{"kind": "stub", "measures": {str(n): 1 for n in range(100_000)}}]))
    ),
    "a name of a megabyte": _text(_job(_stick("a" * 1_000_000, [_stub(12)]))),
    "a title of a megabyte": _text(_job(_stick("a", [_stub(12)])).replace('"x"', '"' + "x " * 500_000 + '"')),
    "a billion shots": _text(_job(_stick("a", [_bend("segmented", radius=24, angle=90, shots=10**9)]))),
    "a row of a billion pipes": _text(
        _job(_stick("a", [_bend("saddle4", to_edge=40, height=3, width=4, row=10**9, pitch=4)]))
    ),
}

LISTS: dict[str, Make] = {
    "100,000 rows": _text("stick,bend,height\n" + "".join(f"{n},stub,12\n" for n in range(100_000))),
    "100,000 rows of one stick": _text("stick,bend,height\n" + "a,stub,12\n" * 100_000),
    "2,000 rows": _text("stick,bend,height\n" + "".join(f"{n},stub,12\n" for n in range(2_000))),
    "1,000 rows of 500 copies": _text(
        "stick,bend,height,copies\n" + "".join(f"{n},stub,12,500\n" for n in range(1_000))
    ),
    "a billion copies": _text("stick,bend,height,copies\na,stub,12,1000000000\n"),
    "copies of 100,000 digits": _text(f"stick,bend,height,copies\na,stub,12,{_LONG}\n"),
    "100,000 columns": _text("stick,bend," + ",".join(map(str, range(100_000))) + "\na\n"),
    "the same column 100,000 times": _text("stick" + ",stick" * 100_000 + "\n"),
    "a cell of 100,000 digits": _text(f"stick,bend,height\na,stub,{_LONG}\n"),
    "a cell of a megabyte": _text(f"stick,bend,height\n{'a' * 1_000_000},stub,12\n"),
    "an open quote": _text('stick,bend,height\n"a,stub,12\n' + "b,stub,12\n" * 50_000),
    "100,000 empty rows": _text("stick,bend\n" + "\n" * 100_000),
    "a turn of nan": _text("stick,bend,height,roll\na,stub,12,nan\n"),
    "a turn of 1e308": _text("stick,bend,height,roll\na,stub,12,1e308\n"),
    "a size of a megabyte": _text(f"stick,bend,height,conduit,size\na,stub,12,emt,{'1' * 100_000}\n"),
}

BENDERS: dict[str, Make] = {
    "10,000 benders": _text(
        json.dumps(
            [
                {
                    "name": str(n),
                    "conduit": "emt",
                    "size": "1/2",
                    "take_up": "5",
                    "gain": "2",
                    "springback": 0.0,
                }
                for n in range(10_000)
            ]
        )
    ),
    "a take-up of 100,000 digits": _text(
        json.dumps(
            [{"name": "a", "conduit": "emt", "size": "1/2", "take_up": _LONG, "gain": "2", "springback": 0.0}]
        )
    ),
    "a springback of nan": _text(
        '[{"name": "a", "conduit": "emt", "size": "1/2", "take_up": "5", "gain": "2", "springback": NaN}]'
    ),
}

CLIPS: dict[str, Make] = {
    "a number for a path": _text('{"path": 5}\n'),
    "1,000 clips of nobody": _text('{"path": "none.wav"}\n' * 1_000),
}

WORDS: dict[str, str] = {
    "100,000 letters": "a" * 100_000,
    "15,000 words": "twenty " * 15_000,
    "40 numbers": "twenty " * 40,
    "39 words of an order": "offset thirty one and a quarter two and a half " * 4,
    "100,000 digits": _LONG,
    "a fraction of 50,000 digits": f"{'1' * 50_000}/{'3' * 50_000}",
    "nothing over nothing": "1/0",
    "dashes": "3 - 1/2 - " * 10_000,
    "spaces": "3" + " " * 100_000 + "x",
    "escapes": "\x1b[31mred\x07\x9b",
    "1e999": "1e999",
    "nan": "nan",
}


@dataclass(frozen=True)
class Case:
    """One command line: `{FILE}` is what `make` makes, `{IN}` the folder it is in. `stdin` is a text or that file."""

    command: str
    what: str
    arguments: tuple[str, ...]
    make: Make | None = None
    name: str = "file"
    stdin: str | None = None
    piped: bool = False

    @property
    def line_by_line(self) -> bool:
        """Whether it has more lines to answer than fit into a second."""
        return (self.command, self.what) in _LINE_BY_LINE


_LINE_BY_LINE = (
    ("typed, fed", "100 MB of lines"),
    ("hear manifest", "1,000 clips of nobody"),
)


def cases() -> Iterator[Case]:
    """Every command with everything hostile to it."""
    yield from _simulations()
    for what, make in {**ANY, **JOBS}.items():
        yield Case("sheet", what, ("sheet", "{FILE}", "-o", "{IN}/out.pdf"), make, "job.json")
    for what, make in {**ANY, **LISTS}.items():
        yield Case("sheet --csv", what, ("sheet", "--csv", "{FILE}", "-o", "{IN}/out.svg"), make)
        arguments = ("--typed", "--list", "{FILE}", "--data", "{IN}/data")
        yield Case("--list", what, arguments, make, stdin="emt\n")
    yield from _kept()
    for what, make in {**ANY, **CLIPS}.items():
        yield Case("hear manifest", what, ("hear", "{FILE}"), make, "clips.jsonl")
        asked = ("record", "{IN}", "--consent", "--silent", "--from-file", "/dev/null")
        yield Case("record", what, asked, make, "manifest.jsonl")
    for what, make in ANY.items():
        yield Case("model verify", what, ("model", "verify", "{FILE}"), make)
        yield Case("model fetch", what, ("model", "fetch", "{FILE}", "--data", "{IN}/data"), make, "m.zip")
        if what not in _NOT_PIPED:
            yield Case("typed, fed", what, ("--typed", "--data", "{IN}/data"), make, piped=True)
    for what, words in WORDS.items():
        yield from _worded(what, words)


def _simulations() -> Iterator[Case]:
    for what, make in {**ANY, **SIMULATED}.items():
        yield Case("simulate", what, ("simulate", "{FILE}"), make)
        if what not in _NOT_PIPED:
            yield Case("simulate -", what, ("simulate", "-"), make, piped=True)


def _kept() -> Iterator[Case]:
    """What stands in the place of files of our own."""
    for what, make in {**ANY, **BENDERS}.items():
        yield Case("benders.json", what, ("bender", "list", "--data", "{IN}"), make, "benders.json")
        arguments = ("--typed", "--data", "{IN}")
        yield Case("typed, benders.json", what, arguments, make, "benders.json", stdin="emt\n")
    for what, make in ANY.items():
        for name in ("jobs.db", "jobs.lock", "jobs.backup.db", "bench.log", "sound.log"):
            yield Case(f"typed, {name}", what, ("--typed", "--data", "{IN}"), make, name, stdin="emt\n")
        yield Case("jobs", what, ("jobs", "--data", "{IN}"), make, "jobs.db")


_NOT_PIPED = ("a folder", "a pipe nobody writes to")


def _worded(what: str, words: str) -> Iterator[Case]:
    for kind in ("length", "angle", "command", "size", "count"):
        yield Case(f"understand {kind}", what, ("understand", "--expect", kind, "--", words))
    yield Case("understand --least", what, ("understand", "twenty", "--least", words))
    yield Case("say", what, ("say", "--", words))
    for option in ("--height", "--take-up", "--springback", "--to", "--stick", "--size"):
        yield Case(f"marks {option}", what, ("marks", "stub", "--height", "12", f"{option}={words}"))
    yield Case(
        "bender add", what, ("bender", "add", "x", "--take-up", words, "--gain", "2", "--data", "{IN}")
    )
    yield Case("jobs show", what, ("jobs", "show", words, "--data", "{IN}"))
    yield Case("sheet", what, ("sheet", words, "-o", "{IN}/out.pdf", "--data", "{IN}"))
    yield Case("typed", what, ("--typed", "--data", "{IN}"), stdin=f"{words}\nemt\n{words}\n")


def small() -> dict[str, Case]:
    """For every command a small input: what it takes to start."""
    commands = {
        "--typed": ("--typed", "--data", "{IN}"),
        "simulate": ("simulate", "{FILE}"),
        "sheet": ("sheet", "{FILE}", "-o", "{IN}/out.pdf"),
        "bender": ("bender", "list", "--data", "{IN}"),
        "jobs": ("jobs", "--data", "{IN}"),
        "hear": ("hear", "{IN}/none.jsonl"),
        "record": ("record", "{IN}", "--consent", "--silent", "--from-file", "/dev/null"),
        "model": ("model", "list"),
        "understand": ("understand", "twenty"),
        "say": ("say", "3"),
        "marks": ("marks", "stub", "--height", "12"),
    }
    content = {"simulate": _simulated([_turn(30)]), "sheet": _job(_stick("a", [_stub(12)]))}
    return {
        name: Case(name, "small", arguments, _text(content.get(name, "")), "file.json", "emt\n")
        for name, arguments in commands.items()
    }


@dataclass(frozen=True)
class Outcome:
    """How a case ended: exit code (None: it had to be ended), processor seconds, megabytes, what it said."""

    code: int | None
    seconds: float
    megabytes: float
    said: str


def run(case: Case) -> Outcome:
    """The case in a folder of its own."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        file = folder / case.name
        if case.make:
            case.make(file)
        arguments = [one.replace("{FILE}", str(file)).replace("{IN}", name) for one in case.arguments]
        given, fed = folder / "stdin", case.stdin
        if fed is not None:
            given.write_text(fed)
        source = file if case.piped else given if fed is not None else Path(os.devnull)
        with source.open("rb") as stdin:
            return _run(arguments, stdin.fileno(), {**os.environ, "HOME": name})


def _run(arguments: list[str], stdin: int, environment: dict[str, str]) -> Outcome:
    with tempfile.TemporaryFile() as out:
        child = subprocess.Popen(
            [sys.executable, "-m", "bench", *arguments],
            stdin=stdin,
            stdout=out,
            stderr=subprocess.STDOUT,
            env=environment,
            preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_AS, (_CEILING, _CEILING)),
        )
        until, ended = time.monotonic() + _PATIENCE, 0
        while time.monotonic() < until and not ended:
            ended, status, used = os.wait4(child.pid, os.WNOHANG)
            time.sleep(0.01)
        if not ended:
            child.kill()
            _, status, used = os.wait4(child.pid, 0)
        child.returncode = os.waitstatus_to_exitcode(status)
        out.seek(0)
        said = out.read(20_000).decode("utf-8", "replace")
    seconds = used.ru_utime + used.ru_stime
    return Outcome(child.returncode if ended else None, seconds, used.ru_maxrss / 1024, said)


def over(outcome: Outcome, line_by_line: bool = False) -> str:
    """What is wrong with an outcome, nothing when it is as it must be."""
    wrong = []
    if line_by_line and len(outcome.said.splitlines()) < _ANSWERED:
        wrong.append("not answered line by line")
    if outcome.code not in (0, 1, 2) and not (line_by_line and outcome.code is None):
        wrong.append("never ended" if outcome.code is None else f"exit {outcome.code}")
    if "Traceback" in outcome.said:
        wrong.append(outcome.said.strip().splitlines()[-1][:120])
    if outcome.code == 2 and "usage:" not in outcome.said and not outcome.said.strip().isprintable():
        bare = outcome.said.replace("\n", "")
        wrong += [] if bare.isprintable() else ["control characters"]
    if outcome.seconds > SECONDS and not line_by_line:
        wrong.append("slow")
    if outcome.megabytes > MEGABYTES:
        wrong.append("large")
    return ", ".join(wrong)


def main() -> int:
    """Every case; a line for each."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--only", default="", help="commands that begin so")
    parser.add_argument("--part", type=int, default=1, help="every so-manieth case alone")
    parser.add_argument("--wrong", action="store_true", help="print only what went over")
    args = parser.parse_args()
    chosen = [case for case in cases() if case.command.startswith(args.only)][:: args.part]
    failed, slowest, largest = 0, 0.0, 0.0
    usual = {name: run(case).seconds for name, case in small().items()}
    for case in chosen:
        outcome = run(case)
        outcome = replace(outcome, seconds=max(0.0, outcome.seconds - usual[case.arguments[0]]))
        slowest, largest = max(slowest, outcome.seconds), max(largest, outcome.megabytes)
        wrong = over(outcome, case.line_by_line)
        failed += bool(wrong)
        if wrong or not args.wrong:
            first = (outcome.said.strip().splitlines() or [""])[0][:90]
            print(
                f"{case.command:<20} {case.what:<38} {outcome.code!s:>4} {outcome.seconds:6.2f} s"
                f" {outcome.megabytes:5.0f} MB  {wrong or 'ok'} | {first!r}",
                flush=True,
            )
    print(f"{len(chosen)} cases, {failed} over; the slowest {slowest:.2f} s, the largest {largest:.0f} MB")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
