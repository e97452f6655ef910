"""One breath does what the questions do: same answers, same marks; nothing is used before its yes."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from fractions import Fraction
from random import Random

import pytest

from bench.core.lengths import Units
from bench.data.bundle import knowledge
from bench.dialogue.machine import expectation, initial
from bench.dialogue.state import Stage
from bench.job.model import Number
from bench.language.lexicon import offered
from bench.language.meaning import Kind, Order, typed
from bench.language.orders import values_of
from bench.language.speak import spoken_value
from bench.language.understand import understand
from tests.benchmarks.natural import at
from tests.dialogue.conversation import Conversation, after
from tests.examples import examples
from tests.free_orders import Outcome, free_orders, outcome
from tests.one_breath import PLAUSIBLE, OneBreath, one_breath, orders

SET_UP = ("emt", "three quarter")

ONE_BREATH = {
    "three point saddle, thirty-one and a quarter to center, two and a half high": {
        "to_center": Fraction(125, 4),
        "height": Fraction(5, 2),
    },
    "three point saddle thirty one and a quarter two and a half": {
        "to_center": Fraction(125, 4),
        "height": Fraction(5, 2),
    },
    "saddle two and a half high four wide, center thirty one and a quarter": {
        "to_center": Fraction(125, 4),
        "height": Fraction(5, 2),
        "width": Fraction(4),
    },
    "offset six high at forty, thirty degrees": {"distance": 40, "rise": 6, "angle": 30.0},
    "six inch offset at forty": {"distance": 40, "rise": 6},
    "thirty degree offset, six high at forty": {"distance": 40, "rise": 6, "angle": 30.0},
    "stub fourteen": {"height": 14},
    "a twelve inch stub please": {"height": 12},
    "offset sixty out, four up": {"distance": 60, "rise": 4},
    "four point, two foot to the edge, three high and eight wide": {"to_edge": 24, "height": 3, "width": 8},
    "rolling offset forty out six up eight over": {"distance": 40, "rise": 6, "roll": 8},
    "kick forty eight out six up": {"distance": 48, "rise": 6},
    "back to back forty eight": {"distance": 48},
    "segmented radius thirty ninety degrees eighteen bends": {"radius": 30, "angle": 90.0, "shots": 18},
    "parallel run forty out six high three apart four pipes": {
        "distance": 40,
        "rise": 6,
        "spacing": 3,
        "count": 4,
    },
    "stub fourteen no fifteen": {"height": 15},
}


@pytest.mark.parametrize(("words", "measures"), ONE_BREATH.items())
def test_all_of_it_is_read_back_and_needs_its_yes(words: str, measures: dict[str, object]) -> None:
    talk = after(*SET_UP, words)
    assert talk.stage is Stage.READ_BACK
    assert talk.state.now.bend.measures == measures
    assert not talk.state.now.stick.bends
    talk.say("yes")
    assert talk.state.now.stick.bends[-1].measures == measures


def test_set_up_and_bend_take_two_utterances_to_the_first_mark() -> None:
    breath = "three quarter EMT, three point saddle, thirty-one and a quarter to center, two and a half high"
    quick = after(breath, "yes")
    slow = after(*SET_UP, "three point saddle", "thirty one and a quarter", "two and a half", "skip", "yes")
    assert quick.view.verb == "MARK"
    assert quick.view.number == slow.view.number == '26 1/4"'


def test_what_is_missing_is_asked() -> None:
    talk = after("offset six high", "emt", "half inch")
    assert talk.view.number == "DISTANCE"
    talk.say("forty")
    assert talk.state.now.bend.measures == {"distance": 40, "rise": 6}
    assert talk.stage is Stage.READ_BACK


def test_a_bend_before_any_set_up_is_told_while_the_conduit_is_asked() -> None:
    talk = after("stub fourteen")
    assert talk.reply.startswith("Ninety. Which conduit?")
    for words in SET_UP:
        talk.say(words)
    assert talk.stage is Stage.READ_BACK
    assert "Height fourteen inches" in talk.reply


def test_a_size_that_the_conduit_does_not_come_in_is_asked_again() -> None:
    """Metric steel is sold by millimeters alone (IEC 61386-21): half an inch of it is not kept for later."""
    talk = after("change metric pipe", "half inch offset forty out six up", "stub fourteen")
    assert talk.state.now.stage is Stage.SIZE
    assert talk.state.now.tools.size == ""
    talk.say("twenty millimeter")
    assert talk.state.now.tools.size == "20 mm"


def test_the_conduit_said_once_more_is_no_size() -> None:
    talk = after("emt", "emt")
    assert talk.state.now.stage is Stage.SIZE
    talk.say("half inch")
    assert talk.state.now.tools.size == "1/2"


def test_a_question_takes_more_than_its_answer() -> None:
    talk = after(*SET_UP, "three point saddle", "thirty one and a quarter")
    talk.say("two and a half high, four wide, twenty two and a half degrees")
    assert talk.stage is Stage.READ_BACK
    assert talk.state.now.bend.measures == {
        "to_center": Fraction(125, 4),
        "height": Fraction(5, 2),
        "width": 4,
        "angle": 22.5,
    }


@pytest.mark.parametrize(
    ("words", "key", "value"),
    [
        ("height three", "height", 3),
        ("change the height to three", "height", 3),
        ("make it thirty degrees", "angle", 30.0),
        ("angle thirty", "angle", 30.0),
        ("no, center thirty-two", "to_center", 32),
        ("four wide", "width", 4),
    ],
)
def test_one_measure_is_changed_at_the_read_back(words: str, key: str, value: object) -> None:
    talk = after(*SET_UP, "three point saddle thirty one and a quarter to center two and a half high", words)
    assert talk.stage is Stage.READ_BACK
    assert talk.state.now.bend.measures[key] == value
    talk.say("undo")
    assert talk.state.now.bend.measures == {"to_center": Fraction(125, 4), "height": Fraction(5, 2)}


def test_a_number_alone_changes_nothing_at_the_read_back() -> None:
    talk = after(*SET_UP, "three point saddle thirty one and a quarter to center two and a half high")
    before = talk.state.now
    talk.say("three")
    assert talk.state.now == before


def test_what_cannot_be_is_told_with_its_range() -> None:
    talk = after(*SET_UP, "three point saddle thirty to center ninety high")
    assert talk.stage is Stage.PICK
    assert "It can be" in talk.reply


def test_a_further_bend_says_which_way_it_goes() -> None:
    talk = after(*SET_UP, "stub twelve", "yes")
    while talk.stage is Stage.WORK:
        talk.say("next")
    talk.say("another offset, sixty out, four up, turned left")
    assert talk.stage is Stage.READ_BACK
    assert talk.state.now.bend.roll == 270.0


@pytest.mark.parametrize("bend", PLAUSIBLE)
@pytest.mark.parametrize(
    ("units", "set_up"), [(Units.INCH, False), (Units.INCH, True), (Units.METRIC, False)]
)
def test_one_breath_comes_to_what_the_questions_come_to(bend: str, units: Units, set_up: bool) -> None:
    """The law: every measure as meant, read back, no mark before the yes; then the marks of the dialogue by steps."""
    order = one_breath(Random(f"{bend} {units} {set_up}"), bend, units, set_up)
    quick = begun(units) if set_up else begun(units, *SET_UP)
    quick.say(order.text)
    assert quick.stage is Stage.READ_BACK, order
    assert quick.state.now.bend.measures == order.values, order
    assert not quick.state.now.stick.bends
    slow = begun(units, *(in_steps(order) if set_up else SET_UP))
    slow = asked_one_by_one(slow, bend, order.values)
    assert quick.view.action == slow.view.action, order
    quick.say("yes")
    slow.say("yes")
    one, other = quick.state.now.stick, slow.state.now.stick
    assert (one.spoken, one.tools, one.units) == (other.spoken, other.tools, other.units), order
    assert (quick.view.verb, quick.view.number) == (slow.view.verb, slow.view.number), order


def test_orders_are_understood_as_they_were_made() -> None:
    """Many more, as far as their meaning: every bend, labels before and after, bare numbers, with set-up or not."""
    k = knowledge()
    for units in Units:
        expect = expectation(begun(units, *SET_UP).state, k)
        for order in orders(Random(11), examples(30), units):
            meaning = understand(typed(order.words), expect, k.lexicon, over=True).meaning
            assert meaning is not None, order
            assert isinstance(meaning.value, Order), order
            assert meaning.value.bend == order.bend
            assert (meaning.value.conduit, meaning.value.size) == (order.conduit, order.size)
            assert values_of(meaning.value, expect) == order.values, order


def test_a_measure_said_twice_is_asked_again_and_never_dropped() -> None:
    talk = after(*SET_UP, "offset forty out six high seven high")
    assert talk.stage is Stage.PICK
    talk.say("offset forty out six high no seven high")
    assert talk.state.now.bend.measures == {"distance": 40, "rise": 7}


def begun(units: Units, *lines: str) -> Conversation:
    """A conversation in these units in which this was said."""
    talk = Conversation(replace(initial(), units=units))
    talk.start()
    for line in lines:
        talk.say(line)
    return talk


def in_steps(order: OneBreath) -> tuple[str, ...]:
    """The set-up of an order, one question at a time."""
    known = knowledge().lexicon
    return offered(known.choices[order.conduit][0]), offered(known.sizes[order.size][0]), "typical"


def asked_one_by_one(start: Conversation, kind: str, values: dict[str, Number]) -> Conversation:
    """The same bend by its questions, and what is not asked by changing it at the read-back."""
    talk, left, units = start.branch(), dict(values), start.state.units
    talk.say(offered(knowledge().lexicon.choices[kind][0]))
    while talk.stage is Stage.ASK:
        value = left.pop(talk.listens.expectation.asks, None)
        talk.say("skip" if value is None else spoken_value(value, units))
    for key, value in left.items():
        for words in ("change", offered(knowledge().lexicon.choices[key][0]), spoken_value(value, units)):
            talk.say(words)
    return talk


def test_orders_in_peoples_own_words() -> None:
    """All the collections. What is mistaken is read back like everything."""
    found = Counter(outcome(order) for order in free_orders())
    assert found[Outcome.EXACT] >= 0.84 * found.total()
    assert found[Outcome.OTHER] <= 0.01 * found.total()


@pytest.mark.parametrize(
    ("words", "measures"),
    [
        ("there's a duct in the way, it's six high, so an offset, forty to it", {"distance": 40, "rise": 6}),
        ("offset at fifty two and a half up", {"distance": 50, "rise": Fraction(5, 2)}),
        ("kick, forty one and an eighth, rise seven", {"distance": Fraction(329, 8), "rise": 7}),
        ("back to back, ninety six, stub eleven", {"distance": 96, "stub": 11}),
        ("offset, an inch and a half high, a foot and a half out", {"distance": 18, "rise": Fraction(3, 2)}),
        ("three point, forty eight to center, three high", {"to_center": 48, "height": 3}),
        ("two pipes parallel, three apart, thirty three out, five up",
         {"distance": 33, "rise": 5, "spacing": 3, "count": 2}),
        ("segmented, thirty inch radius, ninety, fifteen shots", {"radius": 30, "angle": 90.0, "shots": 15}),
    ],
)  # fmt: skip
def test_a_number_goes_to_the_measure_that_it_can_be(words: str, measures: dict[str, object]) -> None:
    assert after(*SET_UP, words).state.now.bend.measures == measures


@pytest.mark.parametrize("words", ["the same", "it's left", "okay the opposite then"])
def test_a_side_without_a_bend_is_no_order(words: str) -> None:
    """Where the next bend is asked for; "the same" could be the next pipe of a rack."""
    talk = at(("emt", "three quarter", "stub", "twelve", "yes", ">NEXT"))
    meaning = understand(typed(words), expectation(talk.state, knowledge()), knowledge().lexicon).meaning
    assert meaning is None or meaning.kind is not Kind.ORDER


def test_the_set_up_is_said_anywhere() -> None:
    tools = after(*SET_UP, "offset, six up, forty to the beam, in inch and a quarter rigid").state.now.tools
    assert (tools.conduit, tools.size) == ("rmc", "1 1/4")
