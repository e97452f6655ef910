"""`bench understand` and `bench say`: the JSON contract."""

from __future__ import annotations

import json

import pytest

from bench.cli import main


def understood(capsys: pytest.CaptureFixture[str], *arguments: str) -> dict[str, object]:
    assert main(["understand", *arguments, "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert isinstance(answer, dict)
    return answer


CONTRACT = {
    "length": ("twenty-seven and three eighths", {"length": {"inches": 27.375, "text": '27 3/8"'}}),
    "angle": ("twenty two and a half", {"angle": {"degrees": 22.5, "text": "22½°"}}),
    "yesno": ("nope", {"yesno": False}),
    "command": ("what is mark two", {"command": "mark_question", "argument": 2}),
    "size": ("three quarter", {"size": "3/4"}),
    "count": ("four", {"count": 4}),
}


@pytest.mark.parametrize(("kind", "case"), CONTRACT.items())
def test_meanings_as_json(
    capsys: pytest.CaptureFixture[str], kind: str, case: tuple[str, dict[str, object]]
) -> None:
    words, meaning = case
    answer = understood(capsys, words, "--expect", kind)
    assert answer["meaning"] == meaning
    assert answer["rejected"] is False


def test_what_is_rejected_says_why(capsys: pytest.CaptureFixture[str]) -> None:
    answer = understood(capsys, "banana")
    assert (answer["meaning"], answer["rejected"], answer["trouble"]) == (None, True, "not_a_phrase")
    answer = understood(capsys, "fifty", "--most", "24")
    assert (answer["rejected"], answer["trouble"]) == (True, "out_of_range")
    assert answer["alternatives"] == [
        {"length": {"inches": 50.0, "text": '50"'}},
        {"length": {"inches": 15.0, "text": '15"'}},
    ]


def test_metric_and_alternatives(capsys: pytest.CaptureFixture[str]) -> None:
    answer = understood(capsys, "six", "thirty", "five", "--metric")
    assert answer["meaning"] == {"length": {"inches": 25.0, "text": "635 mm"}}
    answer = understood(capsys, "fifteen")
    assert answer["alternatives"] == [{"length": {"inches": 50.0, "text": '50"'}}]


def test_for_people(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["understand", "three eighths"]) == 0
    assert 'length: 3/8"' in capsys.readouterr().out


SAID = {
    ("27 3/8",): "twenty-seven and three eighths",
    ("4' 2 1/2\"", "--feet"): "four foot two and a half",
    ("635 mm", "--metric"): "six hundred thirty-five millimeters",
    ("31.25",): "thirty-one and a quarter",
}


@pytest.mark.parametrize(("arguments", "words"), SAID.items())
def test_say(capsys: pytest.CaptureFixture[str], arguments: tuple[str, ...], words: str) -> None:
    assert main(["say", *arguments]) == 0
    assert capsys.readouterr().out.strip() == words


def test_say_refuses_what_is_no_length(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["say", "a good bit"]) == 2
    assert "a good bit" in capsys.readouterr().err
