"""Names by voice: what they come to, how they are said, which are the same. Examples: common practice, no source."""

from __future__ import annotations

from random import Random

import pytest

from bench.data.phrases import glossary, lexicon
from bench.dialogue.always import ALWAYS, BETWEEN
from bench.language.meaning import Expectation, Kind, Meaning, typed
from bench.language.names import same_name, spoken_name
from bench.language.sentences import samples
from bench.language.understand import understand

BETWEEN_BENDS = Expectation(Kind.COMMAND, commands=(*ALWAYS, *BETWEEN))


@pytest.mark.parametrize(
    ("words", "command", "name"),
    [
        ("call this job boiler room two", "name_job", "boiler room 2"),
        ("this job is panel a", "name_job", "panel A"),
        ("call this job panel bravo", "name_job", "panel B"),
        ("the place is second floor east", "name_place", "second floor east"),
        ("we're in the north wing", "name_place", "north wing"),
        ("place room two oh four", "name_place", "room 204"),
        ("this run is panel A to box three", "name_run", "panel A to box 3"),
        ("call this run from panel charlie to the roof", "name_run", "panel C to roof"),
        ("find boiler room two", "find_job", "boiler room 2"),
        ("go back to job twelve", "find_job", "job 12"),
        ("show me second floor boiler room two", "find_job", "second floor boiler room 2"),
    ],
)
def test_a_name_is_heard_as_it_is_written(words: str, command: str, name: str) -> None:
    understood = understand(typed(words), BETWEEN_BENDS, lexicon())
    assert understood.meaning == Meaning(Kind.COMMAND, command, name)


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("boiler room 2", "boiler room two"),
        ("room 204", "room two oh four"),
        ("suite 112", "suite one twelve"),
        ("room 300", "room three hundred"),
        ("Panel A to box 3", "Panel A to box three"),
        ("Main St. 1200", "Main St. one thousand two hundred"),
    ],
)
def test_numbers_in_names_are_said_in_words(name: str, said: str) -> None:
    assert spoken_name(name) == said


def test_the_same_name_is_found_however_it_was_written() -> None:
    assert same_name("Boiler room 2", "boiler room two")
    assert same_name("Panel-A", "panel a")
    assert not same_name("panel A", "panel B")


def test_every_name_of_the_grammar_can_be_said_again() -> None:
    for sample in samples(lexicon().slots["{name}"], 300, Random(3)):
        assert not any(letter.isdigit() for letter in spoken_name(sample.value))
        heard = understand(typed(f"find {spoken_name(sample.value)}"), BETWEEN_BENDS, lexicon())
        found = [heard.meaning, *heard.alternatives]
        assert any(one and same_name(str(one.argument), sample.value) for one in found), sample


def test_every_word_of_the_trade_can_be_asked_for_and_is_answered_in_words() -> None:
    for key, term in glossary().terms.items():
        understood = understand(typed(f"what is {_first(term.says[0])}"), BETWEEN_BENDS, lexicon())
        assert understood.meaning == Meaning(Kind.COMMAND, "explain", key)
        assert not any(letter.isdigit() for letter in term.answer)
        assert term.answer.count(".") == 1
        assert len(term.answer.split()) <= 22


def _first(template: str) -> str:
    return template.split(" (")[0]
