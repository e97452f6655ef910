"""What can be said in answer to an expectation: one tree for parsing, the recognizers, samples and help."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache, partial

from bench.core.lengths import Units
from bench.language.automaton import Automaton, Branches, automaton, branches
from bench.language.lexicon import Lexicon, Phrases, offered, phrase
from bench.language.meaning import NUMBERS, Expectation, Kind, Meaning, Slot
from bench.language.measures import BENDS_OF, angle, count, length, said_number
from bench.language.nodes import Act, Alt, Corrected, Led, Loop, Node, Opt, Seq, Tail, Utterance, Word
from bench.language.order_grammar import orders
from bench.language.sentences import samples, words_of
from bench.language.speak import spoken_angle, spoken_count, spoken_length

__all__ = ["can_say", "grammar", "grammar_branches", "plain_automaton", "said_alike", "samples", "vocabulary"]

WAKE = "start_listening"
CHANGE = "change"
"""The command that a bare "no" means where it is not the answer to a question."""
_EIGHTHS = Fraction(3, 8)
_USUAL_LENGTH = 27 + _EIGHTHS
"""An example of a length, shown where it is plausible."""
DONE, NEXT = "done", "next"
YES = "yes"
_NAMED = (Kind.CHOICE, Kind.SIZE)
_RARELY = 0.03
_SELDOM = 0.1
"""How often samples have what may stand around an answer."""


@lru_cache(maxsize=32)
def grammar(expectation: Expectation, lexicon: Lexicon) -> Utterance:
    """Everything that can be said now. Values are `Meaning`s. Raises KeyError for a key without phrases."""
    if expectation.paused:
        return Utterance(_command(WAKE, lexicon), lexicon.hesitations)
    firm, answers = _answers(expectation, lexicon)
    told = [*answers, *orders(expectation, lexicon), *_commands(expectation, lexicon)]
    if not firm and not told:
        raise ValueError("nothing can be said: the expectation has neither an answer nor commands")
    said = Seq((Alt(tuple(told)), *_perhaps(lexicon.hedges, _SELDOM, tail=True)))
    hedged = [Led(_any(lexicon.agreeing), said, _RARELY)] if told else []
    around = _one if lexicon.is_plain else _one_or_two
    opener, closer = around(lexicon.openers), around(lexicon.closers)
    return Utterance(Seq((opener, Alt((*firm, *hedged)), closer)), lexicon.hesitations)


def _perhaps(phrases: Sequence[str], often: float, tail: bool = False) -> tuple[Node, ...]:
    """What may be said besides and changes nothing: one node, or none where there is no such phrase."""
    said = _any(phrases)
    return (Opt(Tail(said) if tail else said, often),) if phrases else ()


def _one(phrases: Iterable[str]) -> Node:
    """What may stand before or after an answer and changes nothing."""
    return Opt(Tail(_any(phrases)), _SELDOM)


def _one_or_two(phrases: Iterable[str]) -> Node:
    """The same, also twice: "okay so"."""
    return Opt(Seq((Tail(_any(phrases)), _one(phrases))), _SELDOM)


def grammar_branches(expectation: Expectation, lexicon: Lexicon) -> Branches:
    """`branches(grammar(...))`, worked out once for all expectations of which the same can be said."""
    return _branches(said_alike(expectation), lexicon)


def plain_automaton(expectation: Expectation, lexicon: Lexicon) -> Automaton:
    """What can be said in plain words, deterministic: without what only stands around an answer and changes nothing.

    With that it would be some five times as large, and take half a second to make.
    """
    return _automaton(said_alike(expectation), lexicon.plain)


@lru_cache(maxsize=1)  # one with orders in one breath takes up to 6 MB
def _automaton(expectation: Expectation, lexicon: Lexicon) -> Automaton:
    return automaton(grammar(expectation, lexicon))


@lru_cache(maxsize=8)  # up to 3 MB
def _branches(expectation: Expectation, lexicon: Lexicon) -> Branches:
    return branches(grammar(expectation, lexicon))


def said_alike(expectation: Expectation) -> Expectation:
    """The expectation without what changes the meaning alone: what is known and what is plausible."""
    least, most = Fraction(0), _rounded_up(expectation)
    slots = tuple(_bare(slot) for slot in expectation.slots)
    bends = tuple(replace(one, slots=tuple(map(_bare, one.slots))) for one in expectation.bends)
    return replace(expectation, least=least, most=most, slots=slots, bends=bends, asks="")


def _bare(slot: Slot) -> Slot:
    return Slot(slot.key, slot.kind, Fraction(0), Fraction(0))


def _rounded_up(expectation: Expectation) -> Fraction | None:
    """The least range in which the same numbers can be said."""
    if expectation.most is None:
        return None
    steps = {Kind.LENGTH: (29, 59), Kind.ANGLE: (99,)}.get(expectation.kind, ())
    return next((Fraction(step) for step in steps if int(expectation.most) <= step), expectation.most)


def can_say(expectation: Expectation, lexicon: Lexicon) -> tuple[str, ...]:
    """What can be said now, in words: an example of the answer asked for, then choices, then commands."""
    if expectation.paused:
        return (offered(lexicon.commands[WAKE][0]),)
    choices = [offered(choice_phrases(expectation, lexicon)[key][0]) for key in expectation.choices]
    commands = [offered(lexicon.commands[key][0]) for key in expectation.commands]
    return (*_examples(expectation, lexicon), *choices, *commands)


def vocabulary(lexicon: Lexicon) -> frozenset[str]:
    """Every word that any grammar can hold."""
    kinds = [length(None, units) for units in Units] + [angle(Fraction(360)), count(None), BENDS_OF]
    return lexicon.phrase_words.union(*map(words_of, kinds))


def _answers(expectation: Expectation, lexicon: Lexicon) -> tuple[list[Node], list[Node]]:
    """Yes and no with the choices beside them, in which nothing is hedged; and the other answers: corrected perhaps in
    the same breath, and one that corrects the value given before.

    Of choices beside a number or a yes there is no correction: "no, good" must not be the "good" of what fits.
    """
    marker = _any(lexicon.corrections)
    answer, choices = _answer(expectation, lexicon), _choices(expectation, lexicon)
    yesno = expectation.kind is Kind.YESNO
    beside = [choices] if choices and expectation.kind not in _NAMED else []
    answer = answer or (None if beside else choices)
    firm = [*([] if answer is None else [answer]), *beside] if yesno else []
    said = [] if yesno else [*([] if answer is None else [Corrected(answer, marker)]), *beside]
    previous = None if yesno else answer
    if expectation.corrected is not None:
        previous = _corrected(expectation.corrected, expectation)
    if previous is None:
        return firm, said
    correction = Seq((marker, Corrected(previous, marker)))
    return firm, [*said, Act(correction, partial(replace, corrects=True), "correction")]


def _corrected(kind: Kind, expectation: Expectation) -> Node:
    """The number that replaces the one before; among other measures never spelled digit by digit."""
    if kind is Kind.LENGTH and expectation.slots:
        return Act(said_number(expectation.units), partial(Meaning, kind))
    return _number(kind, None, expectation.units)


def _answer(expectation: Expectation, lexicon: Lexicon) -> Node | None:
    """What is asked for, but for choices: a number, or yes and no."""
    if expectation.kind in NUMBERS:
        return _led(_number(expectation.kind, expectation.most, expectation.units), lexicon)
    if expectation.kind is not Kind.YESNO:
        return None
    left_out = not_now(YES, expectation, lexicon)
    agreed = [one for one in lexicon.yes if one not in left_out]
    options = [
        _means(Kind.YESNO, value, said, lexicon) for value, said in ((True, agreed), (False, lexicon.no))
    ]
    if expectation.instead in NUMBERS:
        options.append(_led(_number(expectation.instead, None, expectation.units), lexicon))
    return Alt(tuple(options))


def _led(number: Node, lexicon: Lexicon) -> Node:
    return Seq((Opt(_any(lexicon.lead_ins), _SELDOM), number))


def _choices(expectation: Expectation, lexicon: Lexicon) -> Node | None:
    """The named answers."""
    phrases = choice_phrases(expectation, lexicon)
    choices: list[Node] = []
    for key in expectation.choices:
        sized = Kind.SIZE in (expectation.kind, expectation.instead)
        kind = Kind.SIZE if sized and key in lexicon.sizes else Kind.CHOICE
        choices.append(_means(kind, key, phrases[key], lexicon))
    if not choices:
        return None
    named = expectation.kind in _NAMED
    lead = _perhaps(lexicon.naming, _SELDOM) if named else _perhaps(lexicon.asking, _RARELY)
    return Seq((*lead, Alt(tuple(choices))))


def choice_phrases(expectation: Expectation, lexicon: Lexicon) -> Phrases:
    if Kind.SIZE in (expectation.kind, expectation.instead):
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


def _commands(expectation: Expectation, lexicon: Lexicon) -> list[Node]:
    said = {key: _command(key, lexicon, not_now(key, expectation, lexicon)) for key in expectation.commands}
    reports = [key for key in said if key in lexicon.reports]
    commands = [said[key] for key in reports]
    if asked := [said[key] for key in said if key not in reports]:
        lead, end = _perhaps(lexicon.asking, _RARELY), _perhaps(lexicon.asked, _RARELY, tail=True)
        commands.append(Seq((*lead, Alt(tuple(asked)), *end)))
    turning = tuple(said[key] for key in said if key in lexicon.refused)
    if lexicon.refusing and turning:
        commands.append(Seq((_any(lexicon.refusing), Alt(turning))))
    if {DONE, NEXT} <= set(reports) and not lexicon.is_plain:
        both = (_whole(lexicon.commands[DONE], lexicon), Tail(_any(lexicon.commands[NEXT])))
        commands.append(Act(Seq(both), partial(Meaning, Kind.COMMAND, DONE)))
    answered = expectation.kind is Kind.YESNO or {"skip", "does_not_fit"} & set(expectation.choices)
    if CHANGE in expectation.commands and not answered:
        commands.append(Act(_whole(lexicon.no, lexicon), partial(Meaning, Kind.COMMAND, CHANGE)))
    return commands


def not_now(key: str, expectation: Expectation, lexicon: Lexicon) -> tuple[str, ...]:
    """Phrases of a command, or of `YES`, that cannot be said now, for they sound like something else that can, or mean
    it."""
    said = {*expectation.commands, *expectation.choices, *(named.bend for named in expectation.bends)}
    others = [other for other in lexicon.yielding if other in said and other != key]
    yielding = [one for other in others for one in lexicon.yielding[other]]
    return (*(lexicon.not_at_numbers if expectation.kind in NUMBERS else ()), *yielding)


@lru_cache(maxsize=1024)
def _command(key: str, lexicon: Lexicon, left_out: tuple[str, ...] = ()) -> Node:
    phrases = [one for one in lexicon.commands[key] if one not in left_out]
    open_ended = [lexicon.tree(one) for one in phrases if "{" in one]
    plain = [one for one in phrases if "{" not in one]
    said = Alt((*open_ended, *([_whole(plain, lexicon)] if plain else [])))
    return Act(said, partial(Meaning, Kind.COMMAND, key), key)


def _means(kind: Kind, value: bool | str, phrases: Iterable[str], lexicon: Lexicon) -> Node:
    sized = kind is Kind.SIZE
    said = Seq((_any(phrases), Opt(_any(lexicon.sized), _SELDOM))) if sized else _whole(phrases, lexicon)
    return Act(said, partial(Meaning, kind, value))


def _any(phrases: Iterable[str]) -> Node:
    return Alt(tuple(phrase(one) for one in phrases))


def _whole(phrases: Iterable[str], lexicon: Lexicon) -> Node:
    """Phrases that mean one thing, one after the other perhaps: "forget it, cancel". "Next" need not wait to hear
    whether it becomes "next one"."""
    said = Alt(tuple(Tail(phrase(one)) for one in phrases))
    return said if lexicon.is_plain else Loop(said, Word("and", ()), _RARELY)


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
        usual = _USUAL_LENGTH if least <= _USUAL_LENGTH <= most else middle // 1 + _EIGHTHS
        return (spoken_length(usual, expectation.units),)
    if expectation.kind is Kind.ANGLE:
        return (spoken_angle(float(round(middle / 15) * 15)),)
    return (spoken_count(max(round(middle), 1)),)
