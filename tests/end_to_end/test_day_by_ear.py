"""What a person says besides measures, by real speech: the lesson, names, one breath, cancel, undo, all the marks.

Both recognizers hear synthetic voices under the grammar of the moment (`by_ear.py`). What must come of an order is what
its numbers say; the reply reads them back in words.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.end_to_end.by_ear import Person

ORDERS = {
    "offset": ("offset, six high at forty", ("offset", "distance forty inches", "rise six inches")),
    "saddle3": (
        "three point saddle, thirty one and a quarter to center, two and a half high",
        ("three point saddle", "center thirty-one and a quarter", "height two and a half"),
    ),
    "saddle4": (
        "four point saddle, two foot to the edge, three high and eight wide",
        ("four point saddle", "near edge twenty-four inches", "height three inches", "width eight inches"),
    ),
    "stub": ("stub fourteen", ("ninety", "height fourteen inches")),
    "back-to-back": (
        "back to back, stub twelve, forty eight apart",
        ("back to back", "stub twelve inches", "distance forty-eight inches"),
    ),
    "kick": ("kick, sixty out, four high", ("kick", "distance sixty inches", "rise four inches")),
    "rolling": (
        "rolling offset, forty out, six up, four over",
        ("rolling offset", "distance forty inches", "rise six inches", "side shift four inches"),
    ),
    "box-offset": ("box offset, three eighths deep", ("box offset", "rise three eighths")),
    "parallel": (
        "parallel offsets, forty out, six inches high, four apart, three pipes",
        (
            "parallel offsets",
            "distance forty inches",
            "rise six inches",
            "spacing four inches",
            "pipes three",
        ),
    ),
    "segmented": (
        "segmented bend, thirty six inch radius, ninety degrees, eighteen shots",
        ("segmented bend", "radius thirty-six inches", "angle ninety degrees", "shots eighteen"),
    ),
}
"""An order for each bend, and what of it is read back."""


@pytest.fixture
def person(tmp_path: Path) -> Iterator[Person]:
    someone = Person(tmp_path, "auto", lesson=True)
    yield someone
    someone.close()


@pytest.mark.timeout(240)
def test_a_day_in_spoken_words(person: Person) -> None:
    talk = person
    assert "six things" in talk.said, "a first start begins with the lesson"
    talk.say("skip", "which conduit")
    talk.say("teach me", "six things")
    talk.say("next", "tape end")
    talk.say("skip", "which conduit")
    talk.say("three quarter E M T", "which bend")
    talk.say("call this job boiler room two", "this job is boiler room two")
    talk.say("the place is second floor east", "the place is second floor east")

    for order, read_back in ORDERS.values():
        talk.say(order, read_back[-1])
        assert all(one in talk.said for one in read_back), talk.said
        assert talk.said.endswith("right?"), "nothing is used before its yes"
        talk.say("cancel", "which bend")
    talk.say("undo", "right?")
    talk.say("no, radius thirty", "radius thirty inches")
    talk.say("cancel", "which bend")

    talk.say(ORDERS["saddle3"][0], "right?")
    talk.say("height three", "height three inches")
    talk.say("yes", "mark one")
    talk.say("read all the marks", "marks at")
    talk.say("done", "mark two")
    talk.say("undo", "mark one")
    talk.say("cancel", "bend dropped")
    talk.say("stub twelve", "right?")
    talk.say("yes", "mark one at six")
    talk.say("marked", "bend to")
    talk.say("it's bent", "check it")
    talk.say("skip the check", "cut to length")
    talk.say("it's cut", "same again")
    talk.say("finish the job", "finish")
    talk.say("yes", "goodbye")
    talk.say("find boiler room two", "is the job in hand")
    talk.crash()
    talk.say("yes", "which bend")
    talk.say("find boiler room two", "the same bends again")
    assert not talk.session.faults
    assert talk.misheard <= talk.utterances // 10
