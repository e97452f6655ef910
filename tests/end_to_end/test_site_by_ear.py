"""What is measured on site, by real speech: box to box, match a bend or a curve, holes, compound and concentric bends.

Both recognizers hear a synthetic voice under the grammar of the moment (`by_ear.py`). The answers are those of the
scripts `boxes`, `match` and `concentric`, with their sources beside them there.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.end_to_end.by_ear import Person

FLOWS = {
    "box to box": (
        ("box to box", "what goes between"),
        ("offset", "how far between the boxes"),
        ("forty seven and a half", "how far from the first box"),
        ("thirty", "how high does it climb"),
        ("eight and a quarter", "inside the connector"),
        ("a quarter", "finished end forty-seven inches"),
        ("cancel", "which bend"),
    ),
    "match a bend": (
        ("match a bend", "?"),
        ("two", "two"),
        ("nine", "nine"),
        ("twelve", "skip"),
        ("skip", "thirty degrees"),
        ("yes", "obstruction"),
        ("cancel", "which bend"),
    ),
    "match a curve": (
        ("match the curve", "how long is the level"),
        ("twenty four", "how much gap"),
        ("two and a quarter", "radius of thirty-three and one eighth"),
        ("next", "which bend"),
    ),
    "hole spacing": (
        ("hole spacing", "how far apart are the pipes"),
        ("two and a half", "which angle is the kick"),
        ("thirty", "holes two and seven eighths apart"),
        ("okay", "which bend"),
    ),
    "compound bend": (
        ("compound bend", "turn up or down"),
        ("thirty", "to the side"),
        ("forty five", "one bend of fifty-two degrees"),
        ("next", "which bend"),
    ),
    "concentric nineties": (
        ("concentric nineties", "radius of the inner pipe"),
        ("twenty", "how far apart, center to center"),
        ("four and three eighths", "how many pipes"),
        ("four", "four. how many small bends"),
        ("fifteen", "the inner one now"),
        ("yes", "segmented bend. radius twenty inches"),
        ("cancel", "which bend"),
    ),
}
"""What is said, and what the reply holds."""


@pytest.fixture(scope="module")
def person(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Person]:
    someone = Person(tmp_path_factory.mktemp("site"), "auto")
    someone.say("half inch E M T", "which bend")
    yield someone
    assert someone.misheard <= someone.utterances // 10
    someone.close()


@pytest.mark.parametrize("flow", FLOWS)
def test_measured_on_site_in_spoken_words(person: Person, flow: str) -> None:
    for words, until in FLOWS[flow]:
        person.say(words, until)
    assert not person.session.faults
