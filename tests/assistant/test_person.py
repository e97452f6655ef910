"""The second voice of the demonstration: it speaks in turn, says its part, and asks again when not heard."""

from __future__ import annotations

import math
import threading
import time
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from bench.assistant.assembly import Assistant, Options
from bench.audio.samples import RATE
from bench.audio.sound import Sound
from bench.core.bender import Setup
from bench.core.bends import work_out
from bench.core.lengths import SIXTEENTH, text
from bench.core.plan import Method
from bench.data.bundle import knowledge
from bench.demo.person import Person, Watched
from bench.demo.scenario import Part, scenario
from bench.demo.second_voice import SpokenSource
from bench.demo.story import screens
from bench.dialogue.effects import View
from bench.dialogue.events import Said
from bench.language.meaning import Heard, Hypothesis, typed
from bench.memory.store import Store
from tests.assistant.counting import FakeDisplay


def person(parts: tuple[Part, ...], watched: Watched, said: list[str]) -> Person:
    one = Person(parts, watched, said.append, lambda: True)
    one.THINKS = 0.05
    return one


def test_it_answers_what_it_hears_and_some_things_only_once() -> None:
    parts = (Part(("mark",), "what is mark two", once=True), Part(("Mark",), "next"))
    one = person(parts, Watched(FakeDisplay([]), ""), [])
    assert [one.answer("Mark one at ten."), one.answer("Mark one at ten.")] == ["what is mark two", "next"]
    with pytest.raises(ValueError, match="nothing to say"):
        one.answer("Which bend?")


def test_it_says_yes_only_to_its_own_values() -> None:
    one = person((Part(("Right?",), "yes", values=("thirty-one",)),), Watched(FakeDisplay([]), ""), [])
    assert one.answer("Distance thirty-one. Right?") == "yes"
    assert one.answer("Distance thirty. Right?") == "no"


def test_it_tells_whether_it_was_heard_right() -> None:
    """Also where it put itself right in mid-sentence, and where the assistant adds the unit."""
    parts = (Part(("size",), "three quarter"), Part(("far",), "thirty, no, thirty-one and a quarter"))
    one = Person(parts, Watched(FakeDisplay([]), ""), lambda words: None, lambda: True, "Did you say")
    one.answer("What size?")
    assert one.answer("Did you say one inch?") == "no"
    assert one.answer("Did you say three-quarter inch?") == "yes"
    one.answer("How far?")
    assert one.answer("Did you say thirty and a quarter?") == "no"
    assert one.answer("Did you say thirty-one and a quarter?") == "yes"


def test_it_speaks_again_when_it_was_not_heard_and_gives_up_in_the_end() -> None:
    said: list[str] = []
    watched = Watched(FakeDisplay([]), "MARK")
    one = person((Part(("",), "next"),), watched, said)
    watched.show(View("MARK", '27"', said="Mark one"))
    one.run(waits=0.02)
    assert said == ["next"] * one.GIVES_UP
    assert one.failed


def test_it_waits_for_its_turn() -> None:
    said: list[str] = []
    watched = Watched(FakeDisplay([]), "MARK")
    one = Person((Part(("",), "next"),), watched, said.append, lambda: False)
    watched.show(View("MARK", '27"', said="Mark one"))
    thread = threading.Thread(target=one.run)
    thread.start()
    time.sleep(0.3)
    one.stop()
    thread.join()
    assert said == []


def test_the_marks_shown_are_counted_once_each() -> None:
    watched = Watched(FakeDisplay([]), "MARK")
    for verb, number in (("MARK", '27"'), ("MARK", '27"'), ("BEND", "45°"), ("MARK", '31"')):
        watched.show(View(verb, number))
    assert watched.marks == ('27"', '31"')


def test_the_marks_of_the_scenario_are_those_of_core() -> None:
    k = knowledge()
    tools = "emt", "3/4"
    setup = Setup(k.conduits[tools], k.typical[tools], k.trade, SIXTEENTH, Fraction(120))
    measures = {"to_center": Fraction(125, 4), "height": Fraction(5, 2)}
    plan = work_out("saddle3", measures, setup, Method.TRUE)
    assert scenario().marks == tuple(text(mark.at) for mark in plan.marks)


def test_the_source_gives_room_tone_and_then_the_words_at_the_speed_of_speech() -> None:
    source = SpokenSource()
    source.open()
    quiet = source.read(1.0)
    assert quiet is not None
    assert 0 < np.abs(quiet).max() < 20
    began = time.monotonic()
    seconds = source.speak(Sound(np.full(RATE // 8, 8000, np.int16), RATE))
    blocks = [source.read(1.0) for _ in range(5)]
    loud = [block is not None and bool(np.abs(block.astype(int)).max() > 3000) for block in blocks]
    assert loud == [True, True, True, True, False]
    assert seconds == pytest.approx(0.128)
    assert time.monotonic() - began > 0.1


def test_the_marks_of_the_scenario_follow_from_plane_geometry() -> None:
    """Worked out here in closed form: two half saddles, their arcs `straight` apart.

    R 4.5 in.: NEC Chapter 9 Table 2, trade size 3/4. Outside diameter 0.922 in.: ANSI C80.3. Take-up 6 in.:
    apprenticeship course, Level I lesson 5.
    """
    center, height, radius, take_up, outside = 31.25, 2.5, 4.5, 6.0, 0.922
    side = math.radians(22.5)
    start = take_up - radius - outside / 2
    straight = (height - 2 * radius * (1 - math.cos(side))) / math.sin(side)
    first = center - 2 * radius * math.sin(side) - straight * math.cos(side)
    crown = first + straight + 2 * radius * side
    exact = (first + radius * side + start, crown, crown + radius * side + straight - start)
    assert scenario().marks == tuple(text(Fraction(round(at * 16), 16)) for at in exact)


def test_the_demonstration_takes_at_most_fourteen_utterances_checks_included() -> None:
    shown = list(screens(knowledge()))
    verbs = knowledge().verbs
    answers = len(shown) - 1
    assert answers <= 14
    assert [view.number for view in shown if view.verb == verbs["mark"]] == list(scenario().marks)
    assert sum(view.verb == verbs["check"] for view in shown) >= 3
    assert shown[-1].said == "Goodbye."


@pytest.mark.parametrize(
    "misheard",
    [
        ("three point saddle, a half to center, two and a half high",),
        ("three point saddle, thirty-one and a quarter to center, a half high",),
        ("three point saddle, one to center, two and a half high",),
        ("three point saddle", "a half", "thirty-one and a quarter"),
        ("three point saddle", "thirty-one and a quarter", "a half", "skip"),
        ("four point saddle", "thirty-one and a quarter", "two and a half"),
        ("three point saddle, thirty-one and a quarter to center, two and a half high", "?"),
        ("three point saddle, thirty-one and a quarter to center, a half high", "?"),
        ("offset, thirty-one and a quarter to the start, two and a half high", "?"),
    ],
)
def test_a_misheard_order_ends_at_the_same_marks(misheard: tuple[str, ...], tmp_path: Path) -> None:
    """The beginning of an answer is lost, or a bend is another one: refusals and wrong numbers are put right.

    Before a "?" the words were heard, but not for sure.
    """
    k, wanted = knowledge(), scenario()
    watched = Watched(FakeDisplay([]), k.verbs["mark"])
    assistant = Assistant(Options({"ear": "none"}), k, Store(tmp_path), watched)
    one = Person(wanted.part, watched, lambda words: None, lambda: True, wanted.doubt)
    assistant.session.begin()
    heard = ["skip", "three quarter emt", *(words for words in misheard if words != "?")]
    for words in heard:
        unsure = "?" in misheard and words == heard[-1]
        assistant.session.handle(Said(Heard((Hypothesis(tuple(words.split()), 0.4 if unsure else 1.0),))))
    for _ in range(25):
        if watched.views[-1].verb in (k.verbs["bend"], k.verbs["done"]):
            break
        said = next(view.said for view in reversed(watched.views) if view.said)
        assistant.session.handle(Said(typed(one.answer(said))))
    assistant.close()
    assert watched.marks == wanted.marks


def test_views_that_are_forgotten_are_no_new_question() -> None:
    """A long day forgets what was shown; the person said the same answer twice then, on top of each other."""
    said: list[str] = []
    watched = Watched(FakeDisplay([]), "MARK")

    def say(words: str) -> None:
        said.append(words)
        watched.views[:-1] = []

    one = Person((Part(("",), "next"),), watched, say, lambda: True)
    one.THINKS = 0.02
    for number in range(5):
        watched.show(View("MARK", str(number), said="Mark one"))
    thread = threading.Thread(target=one.run)
    thread.start()
    time.sleep(0.5)
    one.stop()
    thread.join()
    assert said == ["next"]
