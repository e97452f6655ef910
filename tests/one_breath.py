"""Orders in one breath, made of the grammar's own numbers, names and labels, with what each of them means.

Every measure that must be asked is in it: labeled before or after its number, or bare in the order of the questions.
Between two numbers stands a word, as nobody could tell "forty, six" from forty-six by ear.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from random import Random

from bench.core.lengths import MILLIMETER, Units
from bench.core.plan import Measure, Quantity
from bench.data.bundle import knowledge
from bench.dialogue.measures import measures_of
from bench.job.model import Number
from bench.language.lexicon import offered, phrase
from bench.language.measures import said_number
from bench.language.sentences import samples
from bench.language.speak import spoken_count

PLAUSIBLE: dict[str, dict[str, tuple[int, int]]] = {
    "offset": {"distance": (30, 70), "rise": (3, 12), "angle": (15, 45)},
    "saddle3": {"to_center": (30, 60), "height": (1, 5), "width": (1, 6), "angle": (20, 45)},
    "saddle4": {"to_edge": (24, 48), "height": (2, 6), "width": (6, 14), "angle": (20, 45)},
    "stub": {"height": (9, 36)},
    "back-to-back": {"stub": (9, 24), "distance": (24, 60)},
    "kick": {"distance": (30, 60), "rise": (3, 9), "angle": (15, 45)},
    "rolling": {"distance": (30, 60), "rise": (3, 9), "roll": (3, 9), "angle": (20, 45)},
    "box-offset": {"rise": (1, 1), "to_box": (2, 6)},
    "parallel": {"distance": (30, 60), "rise": (4, 9), "spacing": (2, 6), "count": (2, 6)},
    "segmented": {"radius": (24, 36), "angle": (45, 90), "shots": (6, 18)},
}
"""From and to, inches, degrees or a count: what is common enough to be made. Common practice, no source."""

_BETWEEN = ("by", "with", "then")
_NINETY = "ninety"
"""Ends many a bend's name, and is a number."""
_TOOLS = (("emt", "1/2"), ("emt", "3/4"), ("emt", "1"), ("rmc", "3/4"), ("imc", "1"))


@dataclass(frozen=True)
class OneBreath:
    """What is said, comma for pause, and what it means. `conduit` and `size` are blank without a set-up."""

    text: str
    bend: str
    values: dict[str, Number]
    conduit: str = ""
    size: str = ""

    @property
    def words(self) -> str:
        """The words alone, as a recognizer gives them."""
        return self.text.replace(",", "")


@dataclass(frozen=True)
class _Piece:
    """One measure as it is said; whether a number begins or ends it."""

    words: str
    begins: bool
    ends: bool


def one_breath(rng: Random, bend: str, units: Units = Units.INCH, set_up: bool = False) -> OneBreath:
    """An order of this bend with every measure it needs, and sometimes more."""
    flow = knowledge().flows[bend]
    said: list[_Piece] = []
    measures = {one.key: one for one in measures_of(bend, knowledge()) if one.key in PLAUSIBLE[bend]}
    optional = [key for key, one in measures.items() if one.optional or key not in flow.asked]
    left_out = {key for key in optional if rng.random() < 0.5}
    given = {
        key: _value(rng, PLAUSIBLE[bend][key], one, units)
        for key, one in measures.items()
        if key not in left_out
    }
    adjective = flow.adjective if rng.random() < 0.15 and not _like_a_size(given[flow.adjective][0]) else ""
    bare = [key for key in given if key not in optional and key != adjective and rng.random() < 0.4]
    # A bare number is the first measure still missing: bare ones come in the order of the questions.
    turns = [key for key in given if key != adjective]
    rng.shuffle(turns)
    names = knowledge().lexicon.choices[bend]
    if bend == "kick":
        names = tuple(one for one in names if "up" not in one)  # "kick up four": up is what the four is
    if bend in knowledge().lexicon.ninety:
        names = tuple(one for one in names if not one.endswith(_NINETY))  # there it is the angle
    name = _pick(rng, names)
    in_order = iter(bare)
    for key in [next(in_order) if key in bare else key for key in turns]:
        words, _ = given[key]
        after_number = said[-1].ends if said else _NINETY in (name.split()[-1], words.split()[0])
        piece = _Piece(words, True, True) if key in bare else _labeled(rng, bend, key, words, after_number)
        between = rng.choice(_BETWEEN) if after_number and piece.begins else ""
        said.append(_Piece(f"{between} {piece.words}".strip(), piece.begins, piece.ends))
    head = f"{_adjective(given[adjective][0], measures[adjective])} {name}" if adjective else name
    article = rng.choice(("", "", "a", "another"))
    tools = rng.choice(_TOOLS) if set_up else ("", "")
    parts = [*_tools_said(rng, *tools), f"{article} {head}".strip(), *(piece.words for piece in said)]
    values = {key: value for key, (_, value) in given.items()}
    return OneBreath((", " if rng.random() < 0.7 else " ").join(parts), bend, values, *tools)


def orders(rng: Random, count: int, units: Units = Units.INCH) -> Iterator[OneBreath]:
    """So many orders, every bend in turn, every third with its set-up."""
    bends = tuple(PLAUSIBLE)
    for number in range(count):
        yield one_breath(rng, bends[number % len(bends)], units, number % 3 == 2)


def _labeled(rng: Random, bend: str, key: str, words: str, after_number: bool) -> _Piece:
    """A measure with a label that is of no other measure of this bend. After a bare number none stands before:
    it could be that number's."""
    before, after = _labels(bend, key)
    if after and (after_number or not before or rng.random() < 0.6):
        return _Piece(f"{words} {_pick(rng, after)}", True, False)
    return _Piece(f"{_pick(rng, before)} {words}", False, True)


def _like_a_size(words: str) -> bool:
    """Whether it begins like a trade size: "one and a quarter inch offset" is an offset in that conduit."""
    sizes = {offered(one) for several in knowledge().lexicon.sizes.values() for one in several}
    return any(f"{words} ".startswith(f"{size} ") for size in sizes)


@cache
def _labels(bend: str, key: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The labels of a measure, before and after its number, less those that another measure of the bend has too."""
    known, others = knowledge().lexicon.labels, [one for one in PLAUSIBLE[bend] if one != key]
    both = []
    for side in ("before", "after"):
        taken = {offered(one) for other in others for one in getattr(known[other], side)}
        both.append(tuple(one for one in getattr(known[key], side) if offered(one) not in taken))
    before, after = both
    return before, after or (("degrees",) if key == "angle" else ())


def _value(rng: Random, span: tuple[int, int], measure: Measure, units: Units) -> tuple[str, Number]:
    """Words and value of a measure that is plausible and on the tape."""
    low, high = span
    if measure.quantity is Quantity.COUNT:
        number = rng.randint(low, high)
        return spoken_count(number), number
    if measure.quantity is Quantity.ANGLE:
        value = rng.choice([one for one in (15, 20, 22, 30, 45, 60, 90) if low <= one <= high])
        half = rng.random() < 0.2 and units is Units.INCH
        words = spoken_count(value).replace("-", " ")
        return (f"{words} and a half", value + 0.5) if half and value < high else (words, float(value))
    pool = [(words, one) for words, one in _numbers(units) if low <= one <= high + Fraction(15, 16)]
    return rng.choice(pool)


@cache
def _numbers(units: Units) -> tuple[tuple[str, Fraction], ...]:
    """Numbers as the grammar says them, of values that a tape has."""
    many = samples(said_number(units), 5_000, Random(5))
    named: dict[Fraction, list[str]] = {}
    for sample in many:
        on_tape = sample.value * 16 if units is Units.INCH else sample.value / MILLIMETER
        if on_tape == int(on_tape):
            named.setdefault(sample.value, []).append(" ".join(sample.words))
    return tuple((words, value) for value, ways in sorted(named.items()) for words in sorted(set(ways))[:3])


def _adjective(words: str, measure: Measure) -> str:
    return f"{words} degree" if measure.quantity is Quantity.ANGLE else words


def _tools_said(rng: Random, conduit: str, size: str) -> Sequence[str]:
    if not conduit:
        return ()
    known = knowledge().lexicon
    sizes = [one for one in known.sizes[size] if " inch" in one.split("[")[0]]
    return (f"{_pick(rng, sizes)} {_pick(rng, known.choices[conduit])}",)


def _pick(rng: Random, templates: Sequence[str]) -> str:
    return " ".join(phrase(rng.choice(templates)).pick(rng)[0])
