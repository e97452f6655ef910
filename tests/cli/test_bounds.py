"""Files and text of any size, and numbers of any length, are refused at once by every command that takes them.

`tests.benchmarks.hostile` measures time and memory of the same with inputs of 100 MB and more.
"""

from __future__ import annotations

import io
import json
import os
import shutil
import sys
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

import pytest

from bench.assistant.assembly import Options
from bench.assistant.fronts import heard_line, run_typed
from bench.assistant.plain import PlainDisplay
from bench.cli import main
from bench.core.lengths import Units
from bench.core.notes import BenchError
from bench.data.bundle import knowledge
from bench.data.reading import MOST_LETTERS, NotRead, bounded_lines, read_text_file
from bench.dialogue.effects import View
from bench.dialogue.events import Said
from bench.job.listing import MOST_LINES, job_from_csv
from bench.job.written import MOST_BENDS, MOST_STICKS, job_from_written
from bench.language.meaning import Expectation, Kind
from bench.language.understand import understand
from bench.language.write import written

LONG = "9" * 5000
"""More digits than Python turns into a number: 4300 (sys.int_info, Python 3.11)."""
SMUGGLED = "red \x1b[31m\x1b]0;title\x07 \x9b2J \u202e back"
"""Control sequences of a terminal (ECMA-48) and a change of direction (Unicode standard annex 9)."""


def sparse(path: Path, size: int = 17 << 20) -> Path:
    with path.open("wb") as file:
        file.truncate(size)
    return path


def pipe(path: Path) -> Path:
    os.mkfifo(path)
    return path


def folder(path: Path) -> Path:
    path.mkdir()
    return path


def endless(path: Path) -> Path:
    path.symlink_to("/dev/zero")
    return path


@pytest.mark.skipif(os.name != "posix", reason="pipes and devices are POSIX files here")
@pytest.mark.parametrize("make", [sparse, pipe, folder, endless])
@pytest.mark.parametrize(
    ("command", "name"),
    [
        ("simulate {}", "a.json"),
        ("sheet {} -o out.pdf", "a.json"),
        ("sheet --csv {} -o out.pdf", "a.csv"),
        ("--typed --list {} --data {here}/data", "a.csv"),
        ("bender list --data {here}", "benders.json"),
        ("record {here} --consent --silent --from-file /dev/null", "manifest.jsonl"),
    ],
)
def test_what_is_no_text_of_ours_is_refused_by_name(
    command: str,
    name: str,
    make: Callable[[Path], Path],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("sys.stdin", io.StringIO(""))
    monkeypatch.setattr("bench.assistant.fronts.quiet_terminal", lambda: None)
    path = make(tmp_path / name)
    words = [word.replace("{here}", str(tmp_path)).replace("{}", str(path)) for word in command.split()]
    assert main(words) == 2
    told = capsys.readouterr().err
    assert name in told
    assert "ordinary file" in told or "larger than" in told


def test_a_manifest_is_refused_before_a_model_is_loaded(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def never(*_: object, **__: object) -> None:
        raise AssertionError("a model was loaded")

    monkeypatch.setattr("bench.cli.hear.recognizer", never)
    for content, told in (('{"path": 5}\n', "line 1"), ('{"path": "a.wav"}\n' + "[" * 9999, "line 2")):
        (tmp_path / "clips.jsonl").write_text(content)
        assert main(["hear", str(tmp_path / "clips.jsonl")]) == 2
        assert told in capsys.readouterr().err


@pytest.mark.parametrize("ending", ["zip", "tar.gz"])
def test_an_archive_that_would_fill_the_disk_is_refused(
    ending: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "model").mkdir()
    sparse(tmp_path / "model" / "final.mdl")
    kind = "zip" if ending == "zip" else "gztar"
    archive = shutil.make_archive(str(tmp_path / "a"), kind, tmp_path, "model")
    assert Path(archive).stat().st_size < 1 << 20
    monkeypatch.setattr("bench.cli.model.MOST_BYTES", 16 << 20)
    assert main(["model", "fetch", archive, "--data", str(tmp_path / "data")]) == 2
    assert "holds more than" in capsys.readouterr().err
    assert not (tmp_path / "data" / "models").exists()


def test_a_file_is_read_no_further_than_it_may_be_long(tmp_path: Path) -> None:
    path = tmp_path / "a.txt"
    path.write_text("\ufeff" + "a" * 97, "utf-8")
    assert read_text_file(path, "", most=100) == "a" * 97
    path.write_text("\ufeff" + "a" * 98, "utf-8")
    with pytest.raises(NotRead, match="larger"):
        read_text_file(path, "", most=100)
    path.write_bytes(b"\xff\xfe")
    with pytest.raises(NotRead, match="UTF-8"):
        read_text_file(path, "")


def test_lines_have_a_bound_and_a_cut_line_is_no_answer() -> None:
    long = "yes" + " " * 3 * MOST_LETTERS + "no"
    lines = list(bounded_lines(io.StringIO(f"yes\n{long}\n\n{'a' * (MOST_LETTERS - 1)}\nno")))
    assert [line.strip() for line in lines[:1] + lines[2:]] == ["yes", "", "a" * (MOST_LETTERS - 1), "no"]
    for line in (lines[1], long):
        event = heard_line(line)
        assert isinstance(event, Said)
        assert len(event.heard.text) < 2 * MOST_LETTERS
        assert understand(event.heard, Expectation(Kind.YESNO), knowledge().lexicon).meaning is None


@pytest.mark.skipif(not Path("/dev/zero").exists(), reason="no file without an end here")
def test_what_has_no_line_ends_is_not_read_on_and_on(tmp_path: Path) -> None:
    with Path("/dev/zero").open(encoding="utf-8") as endless, pytest.raises(NotRead, match="line ends"):
        run_typed(tmp_path, Options(), knowledge(), bounded_lines(endless), io.StringIO())


def test_a_session_goes_on_after_a_million_words(tmp_path: Path) -> None:
    out = io.StringIO()
    lines = bounded_lines(io.StringIO("twenty " * 1_000_000 + "\nemt\nhalf inch\n"))
    assistant = run_typed(tmp_path, Options(), knowledge(), lines, out)
    assert assistant.close()
    assert out.getvalue().splitlines()[-1].startswith("CHOOSE")
    assert (tmp_path / "jobs.db").stat().st_size < 200_000


def stick(**more: object) -> dict[str, object]:
    return {"name": "A", "bends": [{"kind": "stub", "measures": {"height": 12}}], **more}


@pytest.mark.parametrize(
    "raw",
    [
        {"name": "x", "sticks": [stick()] * (MOST_STICKS + 1)},
        {"name": "x", "sticks": [stick(copies=2)] * (MOST_STICKS // 2 + 1)},
        {"name": "x", "sticks": [stick(bends=[{"kind": "stub", "measures": {}}] * (MOST_BENDS + 1))]},
        {"name": "x", "sticks": [stick(name="A" * 10_000)]},
        {"name": "x" * 10_000, "sticks": [stick()]},
        {"name": "x", "sticks": [stick(bends=[{"kind": "stub", "measures": {"height": LONG}}])]},
        {"name": "x", "sticks": [stick(bends=[{"kind": "stub", "measures": {"height": int("9" * 400)}}])]},
        {
            "name": "x",
            "sticks": [stick(bends=[{"kind": "stub", "measures": dict.fromkeys(map(str, range(99)), 1)}])],
        },
        {"name": "x", "sticks": [stick(bends=[{"kind": "stub", "measures": {"height": 1e308}}])]},
        {"name": "x", "sticks": [stick(bends=[{"kind": "stub", "measures": {"height": float("nan")}}])]},
        {"name": "x", "sticks": [stick(length="1/" + LONG)]},
        {"name": "x", "sticks": stick()},
        {"name": "x", "sticks": [[]]},
    ],
)
def test_a_job_has_bounds_that_say_what_may_be(raw: dict[str, object]) -> None:
    with pytest.raises(BenchError) as refused:
        job_from_written(raw)
    assert len(written(refused.value.message)) < 600


def test_a_job_within_the_bounds_is_read() -> None:
    assert len(job_from_written({"name": "x", "sticks": [stick()] * MOST_STICKS}).sticks) == MOST_STICKS


@pytest.mark.parametrize(
    ("text", "where"),
    [
        ("stick,bend,height\n" + "A,stub,12\n" * (MOST_LINES + 1), f"line {MOST_LINES + 2}"),
        ("stick" + ",stick" * 1000, "line 1"),
        ("stick,bend,height\nA,stub,12\nB,stub," + "9" * 5000, "line 3"),
        ("stick,bend,height,copies\nA,stub,12," + LONG, "line 2"),
        ("stick,bend,height,copies\nA,stub,12,501\n", "line 2"),
        ("stick,bend,height\n" + "".join(f"{n},stub,12\n" for n in range(MOST_STICKS + 1)), "list.csv"),
    ],
)
def test_a_list_has_bounds_and_names_the_line(text: str, where: str) -> None:
    with pytest.raises(BenchError) as refused:
        job_from_csv(text, "list.csv", Units.INCH)
    assert where in written(refused.value.message)


BENDER = {"take_up": 5, "gain": 2.423, "od": 0.706}


@pytest.mark.parametrize(
    "number", ["NaN", "Infinity", "-1e308", "1e999", "9" * 400, LONG, f'"{LONG}"', '"1/0"']
)
@pytest.mark.parametrize("place", ["at", "bend", "roll"])
def test_a_number_that_no_tape_has_is_refused_by_place(
    number: str, place: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = json.dumps({"bender": BENDER, "bends": [{"at": 30, "bend": 30, place: 7777}]})
    path = tmp_path / "a.json"
    path.write_text(text.replace("7777", number))
    assert main(["simulate", str(path)]) == 2
    assert len(capsys.readouterr().err) < 500


def test_a_thousand_bends_are_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "a.json"
    path.write_text(json.dumps({"bender": BENDER, "bends": [{"at": 30, "bend": 0.01}] * 1000}))
    assert main(["simulate", str(path)]) == 2
    assert "bends" in capsys.readouterr().err


@pytest.mark.parametrize("words", [LONG, "1/0", "nan", "\x1b[31m"])
@pytest.mark.parametrize(
    "command",
    [
        "say WORDS",
        "understand twenty --least WORDS",
        "marks stub --height=WORDS",
        "marks stub --height 12 --take-up=WORDS",
        "marks stub --height 12 --size=WORDS",
        "bender add x --gain 2 --take-up WORDS",
        "jobs show WORDS",
        "sheet WORDS -o out.pdf",
    ],
)
def test_numbers_of_the_command_line_are_refused_in_a_line_or_two(
    command: str,
    words: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    try:
        code = main([word.replace("WORDS", words) for word in command.split()])
    except SystemExit as left:  # argparse
        code = int(str(left.code))
    told = capsys.readouterr().err
    assert code == 2
    assert all(letter.isprintable() for letter in told.replace("\n", ""))


# -- control characters ------------------------------------------------------------------------------------


def harmless(text: str) -> bool:
    return all(letter.isprintable() or letter in "\n\t" for letter in text)


def test_plain_lines_obey_nothing_in_a_view() -> None:
    out = io.StringIO()
    display = PlainDisplay(out)
    display.show(View("MARK", SMUGGLED, said=SMUGGLED, troubles=(SMUGGLED,)))
    display.notice(SMUGGLED + "\nsecond")
    assert harmless(out.getvalue())
    assert len(out.getvalue().splitlines()) == 3


@pytest.mark.parametrize(
    "words",
    [
        ["understand", SMUGGLED],
        ["marks", SMUGGLED],
        ["marks", "stub", "--height", "12", SMUGGLED],
        [SMUGGLED],
        ["bender", "forget", SMUGGLED, "--data", "HERE"],
        ["model", "verify", SMUGGLED],
        ["jobs", "--data", SMUGGLED],
    ],
)
def test_what_is_typed_comes_back_spelled_out(
    words: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with suppress(SystemExit):
        main([word.replace("HERE", str(tmp_path)) for word in words])
    told = capsys.readouterr()
    assert told.out + told.err
    assert harmless(told.out + told.err)


def test_names_of_benders_and_sticks_come_back_spelled_out(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    data = ["--data", str(tmp_path)]
    assert main(["bender", "add", SMUGGLED, "--take-up", "5", "--gain", "2 7/16", *data]) == 0
    assert main(["bender", "list", *data]) == 0
    (tmp_path / "a.csv").write_text(f"stick,bend,height\n{SMUGGLED},stub,12\n", "utf-8")
    monkeypatch.setattr("sys.stdin", io.StringIO("emt\nhalf inch\ntypical\nyes\nnext\nnext\n"))
    monkeypatch.setattr("bench.assistant.fronts.quiet_terminal", lambda: None)
    assert main(["--typed", "--list", str(tmp_path / "a.csv"), *data]) == 0
    assert main(["jobs", "show", "1", *data]) == 0
    told = capsys.readouterr()
    assert "x1b[31m" in told.out
    assert harmless(told.out + told.err)


def test_the_streams_are_given_back(capsys: pytest.CaptureFixture[str]) -> None:
    before = sys.stdout, sys.stderr
    assert main(["say", "3"]) == 0
    assert (sys.stdout, sys.stderr) == before


def test_input_of_another_encoding_is_read_on(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("bench.assistant.fronts.quiet_terminal", lambda: None)
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(b"caf\xe9\nemt\n"), encoding="utf-8"))
    assert main(["--typed", "--data", str(tmp_path)]) == 0
