"""One grammar, many uses: they must agree with one another."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from random import Random

import pytest

from bench.data.phrases import lexicon
from bench.language.automaton import Automaton, Branches, branches
from bench.language.grammar import (
    can_say,
    grammar,
    grammar_branches,
    plain_automaton,
    said_alike,
    samples,
    vocabulary,
)
from bench.language.meaning import Expectation, Kind, Order, typed
from bench.language.nodes import Utterance
from bench.language.orders import values_of
from bench.language.sentences import readings
from bench.language.understand import understand
from tests.examples import examples
from tests.language.phones import dictionary
from tests.language.states import STATES

LONGEST = 40
"""Words: more in one breath is talk, and is not read."""

every_state = pytest.mark.parametrize("expectation", STATES.values(), ids=STATES.keys())


def tree(expectation: Expectation, plain: bool = False) -> Utterance:
    """All that can be said, or what the first recognizer takes of it."""
    return _tree(said_alike(expectation), plain)


@cache
def _tree(expectation: Expectation, plain: bool) -> Utterance:
    return grammar(expectation, lexicon().plain if plain else lexicon())


@cache
def first(expectation: Expectation) -> Automaton:
    """What the first recognizer is given."""
    return plain_automaton(expectation, lexicon())


@cache
def second(expectation: Expectation) -> Branches:
    """What the second recognizer is given."""
    return grammar_branches(expectation, lexicon())


@every_state
def test_every_sample_is_read_back_as_what_it_was_made_from(expectation: Expectation) -> None:
    said = grammar(expectation, lexicon())
    for sample in samples(said, examples(200), Random(7)):
        if len(sample.words) > LONGEST:
            continue
        found = readings(said, sample.words)
        if isinstance(sample.value.value, Order) and sample.value not in found:
            # A row of many numbers is read in a few ways only: among them is one that comes to the same.
            comes_to = [_comes_to(one.value, expectation) for one in found if isinstance(one.value, Order)]
            assert _comes_to(sample.value.value, expectation) in (None, *comes_to), sample
        else:
            assert sample.value in found, sample


def _comes_to(order: Order, expectation: Expectation) -> object:
    """What is done on an order; None for one that makes no sense."""
    values = values_of(order, expectation)
    return None if values is None else (replace(order, given=()), values)


@every_state
@pytest.mark.parametrize("branching", [False, True], ids=["automaton", "branches"])
def test_an_automaton_accepts_every_sample_and_nothing_that_is_not_read(
    expectation: Expectation, branching: bool
) -> None:
    said = tree(expectation, plain=not branching)
    accepts = (second(expectation) if branching else first(expectation)).accepts
    rng = Random(11)
    for sample in samples(said, examples(100), rng):
        assert accepts(sample.words), sample
        shuffled = rng.sample(sample.words, len(sample.words))
        shortened = sample.words[: rng.randrange(len(sample.words) + 1)]
        for words in (shuffled, shortened, (*sample.words, sample.words[0])):
            assert accepts(words) == bool(readings(said, words)), words


@every_state
def test_both_automata_go_on_after_the_same_words(expectation: Expectation) -> None:
    one, other = first(expectation), branches(tree(expectation, plain=True))
    rng = Random(12)
    for sample in samples(tree(expectation, plain=True), examples(50), rng):
        words = sample.words[: rng.randrange(len(sample.words) + 1)]
        assert one.goes_on(words) == other.goes_on(words), words
    assert not other.goes_on(("nonsense",))


@every_state
def test_what_the_first_recognizer_knows_the_second_knows_too(expectation: Expectation) -> None:
    for sample in samples(tree(expectation, plain=True), examples(100), Random(13)):
        assert second(expectation).accepts(sample.words), sample


@every_state
def test_the_automaton_is_small_and_its_words_are_plain(expectation: Expectation) -> None:
    machine = first(expectation)
    assert sum(map(len, machine.arcs)) < 125_000
    assert len(machine.arcs) < 3800
    words = {word for out in machine.arcs for word in out}
    assert words <= vocabulary(lexicon())
    assert all(word.replace("'", "").isalpha() and word.islower() for word in words)


def test_what_is_heard_for_a_digit_is_no_command_where_a_number_is_asked() -> None:
    repeat = Expectation(kind=Kind.CHOICE, choices=("offset",), commands=("repeat",))
    asked = Expectation(kind=Kind.LENGTH, commands=("repeat",))
    for one in ("what", "huh"):
        assert readings(grammar(repeat, lexicon()), (one,)), "elsewhere it is"
        assert not readings(grammar(asked, lexicon()), (one,))
    assert readings(grammar(asked, lexicon()), ("say", "again"))


def test_every_word_has_a_pronunciation() -> None:
    known = dictionary().keys() | lexicon().pronunciations.keys()
    assert vocabulary(lexicon()) - known == set()


def test_added_pronunciations_use_the_phones_of_the_dictionary() -> None:
    phones = {phone for ways in dictionary().values() for way in ways for phone in way}
    for spelling in lexicon().pronunciations.values():
        assert set(spelling.split()) <= phones


@every_state
def test_what_is_offered_can_be_said_and_holds_no_digits(expectation: Expectation) -> None:
    offers = can_say(expectation, lexicon())
    assert offers
    for offer in offers:
        understood = understand(typed(offer), expectation, lexicon())
        assert understood.meaning is not None, offer
        assert not any(letter.isdigit() for letter in offer)


def test_every_command_and_choice_can_be_said_everywhere_it_is_expected() -> None:
    words = lexicon()
    for key in words.commands:
        expectation = Expectation(Kind.COMMAND, commands=(key,))
        for sample in samples(grammar(expectation, words), 20, Random(5)):
            meaning = understand(typed(" ".join(sample.words)), expectation, words).meaning
            assert meaning is not None
            assert meaning.value == key


def test_an_expectation_of_nothing_is_a_mistake() -> None:
    with pytest.raises(ValueError, match="nothing can be said"):
        grammar(Expectation(Kind.COMMAND), lexicon())
    with pytest.raises(KeyError, match="no_such_key"):
        grammar(Expectation(Kind.COMMAND, commands=("no_such_key",)), lexicon())


GOES_ON = {
    "twenty": True,
    "two": True,
    "twenty seven": True,
    "twenty seven and": True,
    "twenty seven and three": True,
    "four foot": True,
    "twenty seven and three eighths": False,
    "twenty seven and three eighths inches": False,
    "four foot two and a half": False,
    "uh twenty um": True,
    "thirty one no": True,
    "thirty one no thirty two and a half": False,
    "none": False,
    "repeat": False,
    "next": False,
    "stop": False,
    "no": True,
    "banana": False,
}


@pytest.mark.parametrize(("words", "goes_on"), GOES_ON.items())
def test_whether_more_words_could_belong_to_it(words: str, goes_on: bool) -> None:
    assert understand(typed(words), STATES["height"], lexicon()).could_go_on is goes_on
