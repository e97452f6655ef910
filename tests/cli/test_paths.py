"""Any path given to any command is answered: done, or a message that says what to do. Never a traceback.

Kinds of path are those a file system can offer: what is missing, of the wrong kind, damaged, forbidden, oddly named.
"""

from __future__ import annotations

import io
import json
import logging
import os
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest
import soundfile

from bench.cli import COMMANDS, main
from bench.core.notes import BenchError
from bench.data import folders
from bench.doctor.checks import disk

STUB = {"kind": "stub", "measures": {"height": "12"}}
JOB = {"name": "job", "sticks": [{"name": "1", "bends": [STUB]}]}
CLIPS = '{"path": "a.wav", "text": "twenty"}\n'


def _file(name: str, content: bytes = b"") -> Callable[[Path], Path]:
    def make(folder: Path) -> Path:
        (folder / name).write_bytes(content)
        return folder / name

    return make


def _folder(name: str) -> Callable[[Path], Path]:
    def make(folder: Path) -> Path:
        (folder / name).mkdir()
        return folder / name

    return make


def _link(to: str) -> Callable[[Path], Path]:
    def make(folder: Path) -> Path:
        (folder / "link").symlink_to(to)
        return folder / "link"

    return make


def _forbidden(folder: Path) -> Path:
    path = _file("forbidden.json", json.dumps(JOB).encode())(folder)
    path.chmod(0)
    return path


PATHS: dict[str, Callable[[Path], Path]] = {
    "missing": lambda folder: folder / "missing",
    "missing folder": lambda folder: folder / "missing" / "deep" / "file.json",
    "below a file": lambda folder: _file("plain")(folder) / "file.json",
    "empty": _file("empty.json"),
    "noise": _file("noise.jsonl", bytes(range(256)) * 40),
    "list of nothing": _file("nothing.json", b"[]"),
    "deeply nested": _file("deep.json", b"[" * 100_000),
    "clips of nobody": _file("clips.jsonl", CLIPS.encode()),
    "folder": _folder("folder"),
    "folder named like a file": _folder("folder.csv"),
    "new line in its name": _file("a\nb.json", b"{"),
    "new line, missing": lambda folder: folder / "a\nb\x1b[31m.pdf",
    "undecodable name": lambda folder: folder / os.fsdecode(b"\xff\xfe.wav"),
    "too long a name": lambda folder: folder / ("x" * 300),
    "too long a path": lambda folder: folder / "/".join(["x" * 200] * 30),
    "link to nothing": _link("nowhere"),
    "link to itself": _link("link"),
    "device": lambda _: Path("/dev/null"),
    "home of nobody": lambda _: Path("~nobody-of-that-name/file.json"),
    "nothing": lambda _: Path(""),
    "forbidden": _forbidden,
    "relative": lambda _: Path("relative.json"),
    "in the system": lambda _: Path("/proc/no/such/file.pdf"),
}

TAKING: dict[str, str] = {
    "typed --data": "--typed --data PATH",
    "typed --list": "--typed --list PATH --data DATA",
    "typed --wav": "--typed --wav PATH --data DATA",
    "typed --model": "--typed --model PATH --data DATA",
    "marks --svg": "marks stub --height 12 --svg PATH",
    "marks --data": "marks stub --height 12 --bender mine --data PATH",
    "simulate": "simulate PATH",
    "hear": "hear PATH",
    "hear --model": "hear SOUND --model PATH",
    "jobs": "jobs --data PATH",
    "jobs log": "jobs log --data PATH",
    "jobs name": "jobs name 1 barn --data PATH",
    "sheet": "sheet PATH -o OUT",
    "sheet -o": "sheet JOB -o PATH",
    "sheet -o --force": "sheet JOB -o PATH --force",
    "sheet --csv": "sheet --csv PATH -o OUT",
    "sheet --data": "sheet latest -o OUT --data PATH",
    "bender": "bender list --data PATH",
    "bender add": "bender add mine --take-up 5 --gain 2.4 --data PATH",
    "bender forget": "bender forget mine --data PATH",
    "bender learned": "bender learned --data PATH",
    "measure --data": "measure curve --level 24 --gap 2 --bender mine --data PATH",
    "model verify": "model verify PATH",
    "model fetch": "model fetch PATH",
    "record": "record PATH --consent --silent --from-file SOUND",
    "record --from-file": "record CLIPS --consent --silent --from-file PATH",
}


@pytest.fixture
def at_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A folder to be in, a home, a finished stdin, and what the commands need besides the path."""
    monkeypatch.chdir(tmp_path)
    for name in ("HOME", "XDG_DATA_HOME", "XDG_STATE_HOME"):
        monkeypatch.setenv(name, str(tmp_path / "home"))
    monkeypatch.setattr("sys.stdin", io.StringIO("emt\n"))
    monkeypatch.setattr("bench.assistant.fronts.quiet_terminal", lambda: None)
    soundfile.write(str(tmp_path / "sound.wav"), np.zeros(1600, np.int16), 16_000)
    (tmp_path / "job.json").write_text(json.dumps(JOB), "utf-8")
    handlers = list(logging.getLogger().handlers)
    yield tmp_path
    folders.use(None)
    for handler in set(logging.getLogger().handlers) - set(handlers):
        logging.getLogger().removeHandler(handler)
        handler.close()


def filled_in(line: str, folder: Path, path: Path) -> list[str]:
    """The command line with its words in capitals filled in."""
    given = {
        "PATH": str(path),
        "DATA": str(folder / "data"),
        "SOUND": str(folder / "sound.wav"),
        "JOB": str(folder / "job.json"),
        "CLIPS": str(folder / "clips"),
        "OUT": str(folder / "out.pdf"),
    }
    return [given.get(word, word) for word in line.split(" ")]


@pytest.mark.parametrize("kind", PATHS)
@pytest.mark.parametrize("command", TAKING)
def test_any_path_is_answered(
    command: str, kind: str, at_home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code = main(filled_in(TAKING[command], at_home, PATHS[kind](at_home)))
    told = capsys.readouterr()
    assert code in (0, 1, 2)
    assert "Traceback" not in told.err
    if code == 2:
        assert told.err.startswith("bench: ")
        assert len(told.err.splitlines()) <= 2
        assert all(c.isprintable() for c in told.err.replace("\n", ""))


def test_every_command_that_takes_a_path_is_tried() -> None:
    pathless = {"understand", "say", "serve"}
    slow = {"demo", "doctor"}
    """They play and listen; the folder they keep jobs in is tried below."""
    assert set(COMMANDS) - pathless - slow == {line.split(" ")[0] for line in TAKING.values()} & set(COMMANDS)


@pytest.mark.parametrize("kind", PATHS)
def test_the_doctor_looks_at_any_folder(kind: str, at_home: Path) -> None:
    finding = disk(PATHS[kind](at_home))
    assert finding.message
    assert finding.works or finding.remedy


def test_relative_data_is_the_folder_here(at_home: Path) -> None:
    assert main(["--typed", "--data", "mine"]) == 0
    assert (at_home / "mine" / "jobs.db").is_file()


def test_the_demonstration_does_not_begin_in_another_job(
    at_home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["--typed", "--data", "mine"]) == 0
    assert main(["demo", "--headless", "--data", "mine"]) == 2
    assert "new folder" in capsys.readouterr().err


def test_data_holds_everything(at_home: Path) -> None:
    """Jobs, lock, logs, benders and models: all in the folder named, none elsewhere."""

    from bench.assistant.log import log_to_file
    from bench.ears.model_directory import models_folder

    assert main(["--typed", "--data", "mine"]) == 0
    mine = at_home / "mine"
    assert {folders.data_folder(), folders.log_folder()} == {mine}
    assert log_to_file() == mine / "bench.log"
    assert mine in models_folder().parents
    assert main(["jobs"]) == 2
    assert folders.data_folder() != mine


def test_a_user_without_a_home_is_told_what_to_do(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """What platformdirs answers then: a path that is not one."""
    for asked in ("user_data_path", "user_log_path"):
        monkeypatch.setattr(f"platformdirs.{asked}", lambda *_, **__: Path("~/.local/share/bench"))
    assert main(["jobs"]) == 2
    assert "--data" in capsys.readouterr().err
    with pytest.raises(BenchError):
        folders.log_folder()


@pytest.mark.parametrize(("typed", "meant"), [("mraks", "marks"), ("shet", "sheet"), ("doktor", "doctor")])
def test_a_slip_of_the_keys_is_put_right(typed: str, meant: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main([typed]) == 2
    assert f"bench {meant}" in capsys.readouterr().err


def test_no_such_command_points_to_the_list(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["xyzzy", "--json"]) == 2
    error = json.loads(capsys.readouterr().out)["error"]
    assert error["code"] == "command_unknown"
    assert "--help" in error["try"]


def test_version(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as left:
        main(["--version"])
    assert left.value.code == 0
    assert capsys.readouterr().out.split()[0] == "bench"


def test_what_the_output_cannot_hold_is_escaped(monkeypatch: pytest.MonkeyPatch) -> None:
    """A terminal that knows only ASCII, as in a bare container: fractions and degrees come as escapes."""
    raw = io.BytesIO()
    monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(raw, encoding="ascii"))
    assert main(["marks", "offset", "--distance", "40", "--rise", "6"]) in (0, 1)
    sys.stdout.flush()
    assert b"MARK" in raw.getvalue().upper()
