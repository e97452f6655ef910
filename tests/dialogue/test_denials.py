"""A denial never confirms, whatever stands around it; what is left of a phrase without its first word costs nothing."""

from __future__ import annotations

from collections.abc import Iterable
from random import Random

import pytest

from bench.data.phrases import lexicon
from bench.language.meaning import Expectation, Kind, Meaning
from bench.language.understand import meant
from tests.examples import examples
from tests.language.states import STATES

AWAKE = {name: expectation for name, expectation in STATES.items() if not expectation.paused}
every_state = pytest.mark.parametrize("expectation", AWAKE.values(), ids=AWAKE.keys())

CONFIRMS = {"done", "next", "finish", "fits", "all_fit", "check_it", "the_same"}
ENDS = {"cancel", "undo", "start_over", "remake", "goodbye", "finish", "new_stick"}
DENIALS = (
    *(
        "no",
        "nope",
        "nah",
        "no way",
        "not yet",
        "not done",
        "i'm not done yet",
        "it's not bent yet",
        "not ready",
    ),
    *("i guess not", "i don't think so", "never", "not okay", "no good", "that's no good", "not so good"),
    *(
        "not good to go",
        "it doesn't fit",
        "it won't fit",
        "none of it fits",
        "doesn't look right",
        "incorrect",
    ),
    *(
        "that won't work",
        "not all set",
        "i haven't marked it",
        "i didn't bend it",
        "haven't got it",
        "let's not",
    ),
    *("don't go ahead", "don't do it", "do not do it", "no wait", "wait no", "hold on no", "yes no wait"),
    *("that's a no", "i'm not sure", "not what i want", "no don't", "wrong", "not there yet", "nothing fits"),
)
"""Ways to say no, and reports that something is not so. No source: common speech."""
AROUND = (
    "yeah",
    "yes",
    "sure",
    "okay",
    "right",
    "good",
    "done",
    "perfect",
    "got it",
    "that's right",
    "and",
    "yet",
)
"""Words of assent, said before or after a denial."""


def picked(templates: Iterable[str], each: int, rng: Random) -> list[str]:
    """What templates can sound like, a few of each."""
    trees = [lexicon().tree(template.replace("{number}", "two")) for template in templates]
    return sorted({" ".join(tree.pick(rng)[0]) for tree in trees for _ in range(each)})


def means(text: str, expectation: Expectation) -> Meaning | None:
    return meant(tuple(text.split()), expectation, lexicon())


def confirms(meaning: Meaning | None) -> bool:
    """Whether it goes on, or says that all is well."""
    return meaning is not None and (meaning.value is True or meaning.value in CONFIRMS)


@every_state
def test_a_denial_never_confirms(expectation: Expectation) -> None:
    rng = Random(21)
    words = lexicon()
    before = ["", *AROUND, *picked(words.openers, 2, rng), *picked(words.asking, 2, rng)]
    after = ["", *AROUND, *picked((*words.closers, *words.hedges, *words.asked), 2, rng)]
    denials = [*DENIALS, *picked(words.no, 2, rng), *picked(words.choices["does_not_fit"], 2, rng)]
    for denial in denials:
        for _ in range(examples(3)):
            said = f"{rng.choice(before)} {denial} {rng.choice(after)}"
            assert not confirms(means(said, expectation)), said


@every_state
def test_what_is_not_done_is_not_done(expectation: Expectation) -> None:
    rng = Random(22)
    reports = picked((*lexicon().commands["done"], *lexicon().choices["fits"]), 2, rng)
    for report in reports:
        for denied in ("not", "it's not", "i'm not", "i haven't", "it isn't", "don't", "that's not", "never"):
            assert not confirms(means(f"{denied} {report}", expectation)), f"{denied} {report}"
            assert not confirms(means(f"{report} not", expectation)), f"{report} not"


@every_state
def test_yes_and_no_together_are_no_yes(expectation: Expectation) -> None:
    rng = Random(23)
    yes, no = picked(lexicon().yes, 2, rng), picked(lexicon().no, 2, rng)
    for _ in range(examples(60)):
        one, other = rng.choice(yes), rng.choice(no)
        for said in (f"{one} {other}", f"{other} {one}", f"{other} and {one}", f"{one} and {other}"):
            assert not confirms(means(said, expectation)), said


@every_state
def test_a_command_denied_is_not_carried_out(expectation: Expectation) -> None:
    rng = Random(24)
    for key in ENDS & {*expectation.commands, "finish"}:
        for phrase in picked(lexicon().commands[key], 3, rng):
            for denied in ("don't", "do not", "not", "never", "please don't", "i don't want to"):
                meaning = means(f"{denied} {phrase}", expectation)
                assert meaning is None or meaning.value != key, f"{denied} {phrase}"


@every_state
def test_without_its_first_word_a_phrase_ends_nothing(expectation: Expectation) -> None:
    """The first sound of an utterance is the one that gets lost."""
    rng = Random(25)
    words = lexicon()
    tables = [(key, words.commands[key]) for key in expectation.commands]
    tables += [(key, words.choices.get(key, ())) for key in expectation.choices]
    if expectation.kind is Kind.YESNO:
        tables += [("no", words.no)]
    for key, templates in tables:
        for phrase in picked(templates, 4, rng):
            meaning = means(phrase.partition(" ")[2], expectation)
            left = meaning.value if meaning is not None else None
            if {key, left} == {"goodbye", "finish"} or (key, left) == ("skip_check", True):
                continue  # both leave, nothing is lost; a check made that need not be
            assert left == key or (left is not True and left not in ENDS), phrase
