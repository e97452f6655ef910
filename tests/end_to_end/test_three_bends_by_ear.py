"""A long conversation with real speech: three bends on one stick, mistakes, changes, a crash and a resume.

Every word is sound from a synthetic voice, heard by the model of the house under the grammar of the moment
(`by_ear.py`). The whole way through microphone and loudspeaker is tested beside this one.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import pytest

from bench.core.bends import work_out
from bench.core.stick import OnStick, lay_out
from bench.data.tables import setup
from tests.end_to_end.by_ear import Person

MARK_SHOWN = re.compile(r'(\d+)(?: (\d+)/(\d+))?"')


@pytest.fixture
def person(tmp_path: Path) -> Iterator[Person]:
    someone = Person(tmp_path)
    yield someone
    someone.close()


def inches(number: str) -> Fraction:
    """A mark as it is shown, in inches."""
    found = MARK_SHOWN.fullmatch(number)
    assert found, number
    return int(found[1]) + Fraction(int(found[2] or 0), int(found[3] or 1))


@pytest.mark.timeout(240)
def test_three_bends_on_one_stick(person: Person) -> None:
    talk = person
    talk.say("e m t", "trade size")
    talk.say("half inch", "which bend")

    talk.say("stub up", "how tall")
    talk.say("fifteen", "right?")
    talk.say("yes", "mark one at ten")
    talk.say("another bend", "which bend")

    talk.say("offset", "obstruction")
    talk.say("thirty eight and a half", "thirty-eight and a half")
    talk.say("no forty", "changed to forty")
    talk.say("six", "right?")
    talk.say("no", "change which")
    talk.say("rise", "climb")
    talk.say("four and a quarter", "rise four and a quarter")
    talk.say("yes", "mark one")
    talk.crash()
    assert "step one" in talk.said
    talk.say("yes", "mark one")
    talk.say("another bend", "which bend")

    talk.say("kick", "kicked end")
    talk.say("undo", "which bend")
    talk.say("three point saddle", "center")
    talk.say("ninety", "ninety inches")
    talk.say("two", "two inches")
    talk.say("skip", "right?")
    talk.say("yes", "mark one")

    expected = lay_out(
        setup("emt", "1/2"),
        [
            OnStick(work_out("stub", {"height": Fraction(15)}, setup("emt", "1/2"))),
            OnStick(
                work_out("offset", {"distance": Fraction(40), "rise": Fraction(17, 4)}, setup("emt", "1/2"))
            ),
            OnStick(
                work_out("saddle3", {"to_center": Fraction(90), "height": Fraction(2)}, setup("emt", "1/2"))
            ),
        ],
    )
    assert expected.marks[0].at == 10, "a stub of 15 with the usual take-up of 5 for half-inch EMT"
    for index, mark in enumerate(expected.marks):
        assert talk.shown[-1] == ("MARK", talk.shown[-1][1])
        assert inches(talk.shown[-1][1]) == mark.at
        talk.say("next", "mark" if index + 1 < len(expected.marks) else "bend to")
        if index == 2:
            talk.say("what is mark two", "mark two is at")
            talk.say("repeat", "mark four at")
    assert not talk.session.faults
    assert talk.session.state.now.stick.bends[1].measures["rise"] == Fraction(17, 4)
    talk.store.close()
    talk.open()
    assert "unfinished" in talk.said or "step" in talk.said
    assert talk.misheard <= talk.utterances // 4
