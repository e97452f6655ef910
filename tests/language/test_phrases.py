"""Phrases as data: what is damaged is named, with file and key."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from bench.core.notes import BenchError
from bench.data import phrases
from bench.data.files import read_toml
from bench.language.lexicon import offered, phrase
from bench.language.sentences import words_of

Damage = Callable[[dict[str, Any]], object]

DAMAGES: dict[str, tuple[str, Damage]] = {
    "commands: next": ("phrases.toml", lambda raw: raw["commands"].update(next=["go (on"])),
    "choices: emt has no phrase": ("phrases.toml", lambda raw: raw["choices"].update(emt=[])),
    "something must be said": ("phrases.toml", lambda raw: raw["around"].append("[so]")),
    "may not end in an optional part": ("phrases.toml", lambda raw: raw["corrections"].append("no [no]")),
    "yes": ("phrases.toml", lambda raw: raw.pop("yes")),
    "extra": ("phrases.toml", lambda raw: raw.update(extra=1)),
    "no command is called 'jump'": ("confidence.toml", lambda raw: raw["costly"].append("jump")),
    "number": ("confidence.toml", lambda raw: raw.update(number="high")),
}


@pytest.mark.parametrize(("reason", "damage"), DAMAGES.items())
def test_damaged_data_is_named(
    monkeypatch: pytest.MonkeyPatch, reason: str, damage: tuple[str, Damage]
) -> None:
    name, change = damage

    def damaged(file: str) -> dict[str, Any]:
        raw = read_toml(file)
        if file == name:
            change(raw)
        return raw

    monkeypatch.setattr(phrases, "read_toml", damaged)
    with pytest.raises(BenchError, match=reason) as caught:
        phrases.lexicon.__wrapped__()
    assert name in str(caught.value)


def test_a_template_says_what_it_says() -> None:
    tree = phrase("[please] (go|walk) on {number}")
    assert {"please", "go", "walk", "on", "two", "twenty"} <= words_of(tree)
    assert offered("[please] (go|walk) on {number}") == "go on two"


@pytest.mark.parametrize("template", ["", "go [on", "go on]", "go ()", "go 2", "(a|)", "{color}"])
def test_a_template_that_makes_no_sense_is_refused(template: str) -> None:
    with pytest.raises(ValueError, match="phrase"):
        phrase(template)


def test_words_that_mean_nothing_are_words() -> None:
    assert all(word.isalpha() for word in phrases.lexicon().hesitations)
