"""`bench hear` and `bench model` as they are called."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from bench.cli import main
from bench.ears.model_directory import find_model
from tests.ears.corpus import entries


def real(word: str) -> Path:
    """A real person's word, from Speech Commands (Warden 2018)."""
    found = next(entries(lambda one: one["text"] == word and one["source"] == "speech-commands"))
    return Path(found["file"])


def test_one_recording_gives_words_meaning_and_times(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["hear", str(real("yes")), "--expect", "yesno", "--ear", "vosk", "--json"]) == 0
    report = json.loads(capsys.readouterr().out)
    assert report["words"].startswith("yes")
    assert report["heard"][0]["words"] == report["words"]
    assert 0 < report["confidence"] <= 1
    assert report["audio_seconds"] == pytest.approx(1.0, abs=0.1)
    assert report["taken_seconds"] > 0
    assert {"meaning", "alternatives", "rejected"} <= set(report)


def test_a_manifest_gives_a_line_for_a_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    shutil.copy(real("seven"), tmp_path / "seven.flac")
    lines = [{"path": "seven.flac", "text": "seven"}, {"path": "nowhere.wav", "text": "one"}]
    (tmp_path / "list.jsonl").write_text("".join(json.dumps(line) + "\n" for line in lines))
    assert main(["hear", str(tmp_path / "list.jsonl"), "--expect", "count"]) == 1
    first, second = (json.loads(line) for line in capsys.readouterr().out.splitlines())
    assert first["path"] == "seven.flac"
    assert first["right"] is True
    assert "cannot be read" in second["error"]["message"]


def test_a_bad_manifest_names_the_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "list.jsonl").write_text('{"file": "a.wav"}\n')
    assert main(["hear", str(tmp_path / "list.jsonl")]) == 2
    assert "line 1" in capsys.readouterr().err


def test_models_are_listed_verified_and_fetched(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("bench.ears.model_directory.data_folder", lambda: tmp_path / "data")
    assert main(["model", "verify"]) == 0
    assert "is intact" in capsys.readouterr().out
    own = find_model()
    assert own is not None
    archive = shutil.make_archive(str(tmp_path / "another"), "zip", own.parent, own.name)
    assert main(["model", "fetch", archive]) == 0
    capsys.readouterr()
    assert main(["model", "list", "--json"]) == 0
    rows = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert [row["own"] for row in rows] == [True, True, False]
    fetched = Path(rows[2]["path"])
    (fetched / "graph" / "HCLr.fst").write_bytes(b"damage")
    assert main(["model", "verify", fetched.name]) == 1
    assert "graph/HCLr.fst" in capsys.readouterr().out


def test_fetching_from_the_network_says_plainly_that_it_does_not(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["model", "fetch", "https://example.org/model.zip"]) == 2
    error = capsys.readouterr().err
    assert "downloads nothing" in error
    assert "--model" in error


def test_any_number_words_are_heard_and_compared(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """AN4: digits by a speaker who was not trained on; the transcript is worded otherwise on purpose."""
    entry = next(entries(lambda one: one["path"] == "people/an4/cen7-fash-b.flac"))
    line = {"path": str(entry["file"]), "text": entry["text"].replace("four four", "double four")}
    (tmp_path / "list.jsonl").write_text(json.dumps(line) + "\n")
    assert main(["hear", str(tmp_path / "list.jsonl"), "--expect", "numbers"]) == 0
    report = json.loads(capsys.readouterr().out)
    assert report["right"] is True
    assert (report["wrong"], report["spoken"]) == (0, len(entry["text"].split()))
    assert report["meaning"] == {"numbers": entry["text"]}
    assert {"first", "second"} == set(report["listeners"])
