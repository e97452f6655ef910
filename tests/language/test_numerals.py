"""Any number words: transcripts of people, and word errors as the library jiwer counts them."""

from __future__ import annotations

from random import Random

import jiwer
import pytest
from num2words import num2words

from bench.language.numerals import WORDS, number_words, plain_numerals, words_wrong
from tests.ears.corpus import entries


def test_numbers_that_people_said_can_be_heard() -> None:
    """AN4 (Carnegie Mellon) and the ten-digit numbers of the Alphanumeric Audio Dataset."""
    machine = number_words()
    said = [
        entry["text"].split()
        for entry in entries(lambda one: one["source"] in ("an4", "alphanumeric-audio-dataset"))
        if entry["text"] and set(entry["text"].split()) <= set(WORDS)
    ]
    assert len(said) > 200
    assert all(machine.accepts(words) for words in said)


def test_cardinals_up_to_a_million_can_be_heard() -> None:
    """Written out by num2words."""
    machine = number_words()
    for number in Random(5).sample(range(1_000_000), 400):
        words = num2words(number).replace("-", " ").replace(",", "").split()
        assert machine.accepts(words), words


@pytest.mark.parametrize(
    "text", ["", "and", "five and", "double", "hundred", "point five", "five and six", "uh five"]
)
def test_what_is_no_number_cannot(text: str) -> None:
    assert not number_words().accepts(text.split())


@pytest.mark.parametrize(
    ("said", "plain"),
    [
        ("oh one double two", "zero one two two"),
        ("triple nine", "nine nine nine"),
        ("two hundred and five", "two hundred five"),
    ],
)
def test_wording_is_overlooked(said: str, plain: str) -> None:
    assert plain_numerals(said.split()) == tuple(plain.split())


def test_wrong_words_are_counted_as_jiwer_counts_them() -> None:
    rng = Random(3)
    for _ in range(200):
        said, heard = (rng.choices(("one", "two", "three"), k=rng.randrange(1, 8)) for _ in range(2))
        found = jiwer.process_words(" ".join(said), " ".join(heard))
        assert words_wrong(said, heard) == found.substitutions + found.deletions + found.insertions
