"""`bench measure`: what core works out, as text and as JSON, and clear errors."""

from __future__ import annotations

import json

import pytest

from bench.cli import main


def told(capsys: pytest.CaptureFixture[str], *args: str) -> str:
    assert main(["measure", *args]) == 0
    return capsys.readouterr().out


def test_six_pieces_from_two_sticks(capsys: pytest.CaptureFixture[str]) -> None:
    """Four of 29 1/8 and their kerfs are 116 3/4 (arithmetic)."""
    assert "6 pieces, 2 sticks" in told(capsys, "cuts", "--pieces", "29 1/8 x 6")
    cut = json.loads(told(capsys, "cuts", "--pieces", "29 1/8 x 6", "--json"))
    assert [len(stick["pieces"]) for stick in cut["sticks"]] == [4, 2]


def test_a_ninety_with_a_kick_has_its_marks_on_one_stick(capsys: pytest.CaptureFixture[str]) -> None:
    found = json.loads(told(capsys, "boxes-kick", "--height", "20", "--leg", "60", "--rise", "3", "--json"))
    assert [one["bend"] for one in found["bends"]] == ["stub", "kick"]
    assert len(found["marks"]) == 2
    assert 77 < found["cut_at"] < 80
    assert "on one stick" in told(capsys, "boxes-kick", "--height", "20", "--leg", "60", "--rise", "3")


def test_both_spellings(capsys: pytest.CaptureFixture[str]) -> None:
    rest = ("boxes-saddle3", "--span", "90", "--height", "3")
    assert told(capsys, *rest, "--to-center", "40") == told(capsys, *rest, "--to-centre", "40")


def test_a_match_without_a_distance_names_the_bend(capsys: pytest.CaptureFixture[str]) -> None:
    assert "bench marks offset: angle 30" in told(capsys, "match", "--low", "2", "--high", "9", "--run", "12")


@pytest.mark.parametrize(
    ("code", "args"),
    [
        ("site_unknown", ["nothing"]),
        ("measure_missing", ["cuts"]),
        ("measure_missing", ["match", "--low", "2"]),
        ("pieces_count", ["cuts", "--pieces", ","]),
        ("piece_length", ["cuts", "--pieces", "0"]),
        ("piece_too_long", ["cuts", "--pieces", "130"]),
    ],
)
def test_bad_requests_say_what_to_do(capsys: pytest.CaptureFixture[str], code: str, args: list[str]) -> None:
    assert main(["measure", *args, "--json"]) == 2
    error = json.loads(capsys.readouterr().out)["error"]
    assert error["code"] == code
    assert error["try"]
