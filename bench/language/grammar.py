"""What can be said in answer to an expectation: one tree for parsing, the recognisers, samples and help."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache, partial

from bench.core.lengths import Units
from bench.language.automaton import Automaton, automaton
from bench.language.jsgf import jsgf
from bench.language.lexicon import Lexicon, Phrases, offered, phrase
from bench.language.measures import angle, count, length
from bench.language.meaning import Expectation, Kind, Meaning
from bench.language.nodes import Act, Alt, Corrected, Node, Opt, Seq, Utterance, samples, words_of
from bench.language.speak import spoken_angle, spoken_count, spoken_length

__all__ = ["automaton", "can_say", "grammar", "grammar_automaton", "jsgf", "samples", "vocabulary"]

WAKE = "start_listening"
NUMBERS = (Kind.LENGTH, Kind.ANGLE, Kind.COUNT)


@lru_cache(maxsize=256)
def grammar(expectation: Expectation, lexicon: Lexicon) -> Utterance:
    """Everything that can be said now. Values are `Meaning`s. Raises KeyError for a key without phrases."""
    if expectation.paused:
        return Utterance(_command(WAKE, lexicon), lexicon.hesitations)
    options = [*_answers(expectation, lexicon), *_commands(expectation.commands, lexicon)]
    if not options:
        raise ValueError("nothing can be said: the expectation has neither an answer nor commands")
    return Utterance(Alt(tuple(options)), lexicon.hesitations)


@lru_cache(maxsize=256)
def grammar_automaton(expectation: Expectation, lexicon: Lexicon) -> Automaton:
    """`automaton(grammar(...))`, worked out once."""
    return automaton(grammar(expectation, lexicon))


def can_say(expectation: Expectation, lexicon: Lexicon) -> tuple[str, ...]:
    """What can be said now, in words: an example of the answer asked for, then choices, then commands."""
    if expectation.paused:
        return (offered(lexicon.commands[WAKE][0]),)
    choices = [offered(_choice_phrases(expectation, lexicon)[key][0]) for key in expectation.choices]
    commands = [offered(lexicon.commands[key][0]) for key in expectation.commands]
    return (*_examples(expectation, lexicon), *choices, *commands)


def vocabulary(lexicon: Lexicon) -> frozenset[str]:
    """Every word that any grammar can hold."""
    kinds = [length(None, units) for units in Units] + [angle(Fraction(360)), count(None)]
    return lexicon.phrase_words.union(*map(words_of, kinds))


def _answers(expectation: Expectation, lexicon: Lexicon) -> list[Node]:
    marker = _any(lexicon.corrections)
    answer = _answer(expectation, lexicon)
    if answer is None:
        return []
    if expectation.kind is Kind.YESNO:
        said = answer
        previous = None
    else:
        said = Corrected(answer, marker)
        previous = answer
    if expectation.corrected is not None:
        previous = _number(expectation.corrected, None, expectation.units)
    if previous is None:
        return [said]
    correction = Act(
        Seq((marker, Corrected(previous, marker))), partial(replace, corrects=True), "correction"
    )
    return [said, correction]


def _answer(expectation: Expectation, lexicon: Lexicon) -> Node | None:
    options: list[Node] = []
    if expectation.kind in NUMBERS:
        options.append(_number(expectation.kind, expectation.most, expectation.units))
    elif expectation.kind is Kind.YESNO:
        options += [_means(Kind.YESNO, True, lexicon.yes), _means(Kind.YESNO, False, lexicon.no)]
    phrases = _choice_phrases(expectation, lexicon)
    for key in expectation.choices:
        kind = Kind.SIZE if expectation.kind is Kind.SIZE and key in lexicon.sizes else Kind.CHOICE
        options.append(_means(kind, key, phrases[key]))
    return Alt(tuple(options)) if options else None


def _choice_phrases(expectation: Expectation, lexicon: Lexicon) -> Phrases:
    if expectation.kind is Kind.SIZE:
        return {**lexicon.choices, **lexicon.sizes}
    return lexicon.choices


def _number(kind: Kind, most: Fraction | None, units: Units) -> Node:
    if kind is Kind.LENGTH:
        number = length(most, units)
    elif kind is Kind.ANGLE:
        number = angle(most)
    else:
        number = count(most)
    return Act(number, partial(Meaning, kind))


def _commands(keys: Iterable[str], lexicon: Lexicon) -> list[Node]:
    return [_command(key, lexicon) for key in keys]


def _command(key: str, lexicon: Lexicon) -> Node:
    def command(argument: int | None = None) -> Meaning:
        return Meaning(Kind.COMMAND, key, argument)

    return Act(_any(lexicon.commands[key]), command, key)


def _means(kind: Kind, value: bool | str, phrases: Iterable[str]) -> Node:
    return Act(_any(phrases), lambda: Meaning(kind, value))


def _any(phrases: Iterable[str]) -> Node:
    return Alt(tuple(phrase(one) for one in phrases))


def _examples(expectation: Expectation, lexicon: Lexicon) -> tuple[str, ...]:
    """An example of the answer within its range; nothing for choices, which are all listed."""
    if expectation.kind is Kind.YESNO:
        return offered(lexicon.yes[0]), offered(lexicon.no[0])
    if expectation.kind not in NUMBERS:
        return ()
    least = expectation.least or Fraction(0)
    most = least + 60 if expectation.most is None else expectation.most
    middle = least + (most - least) / 3
    if expectation.kind is Kind.LENGTH:
        return (spoken_length(round(middle) + Fraction(3, 8), expectation.units),)
    if expectation.kind is Kind.ANGLE:
        return (spoken_angle(float(round(middle / 15) * 15)),)
    return (spoken_count(max(round(middle), 1)),)
