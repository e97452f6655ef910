"""Small things the scripts pass by: where one constant or one sign alone decides.

Each test was written for a fault that no other noticed (`tests.benchmarks.mutation`).
"""

from __future__ import annotations

import json
from dataclasses import replace
from fractions import Fraction

import pytest

from bench.core.notes import BenchError
from bench.data.bundle import knowledge
from bench.dialogue.events import Failed, Recovered, Said
from bench.dialogue.machine import expectation, initial, step
from bench.dialogue.plans import whole_stick
from bench.dialogue.stages.rack import SPACING
from bench.dialogue.stages.sticks import RUN
from bench.dialogue.state import UNDO_DEPTH, AsideKind, Stage, State, state_from_json, state_to_json
from bench.job.layout import lay_out_job
from bench.job.model import Job, JobBend, JobStick, Tools
from bench.language.meaning import Heard, Hypothesis, typed
from tests.dialogue.conversation import Conversation, after

SET_UP = ("emt", "half inch", "typical")
OFFSET = JobBend("offset", (("distance", Fraction(40)), ("rise", Fraction(6)), ("angle", 30.0)))


def test_undo_goes_twelve_deep_and_keeps_the_newest() -> None:
    """Twelve is what the developers' guide says."""
    state = initial()
    for number in range(20):
        state = state.moved(replace(state.now, at=number + 1))
    assert UNDO_DEPTH == 12
    assert [place.at for place in state.past] == list(range(8, 20))


def test_one_part_that_works_again_leaves_the_other_in_trouble() -> None:
    state: State = initial()
    seen = []
    for event in (
        Failed("microphone", "It is gone.", "Plug it in."),
        Failed("disk", "It is full.", "Make room."),
        Failed("microphone", "It is gone again.", "Plug it in."),
        Recovered("microphone", "It is back."),
    ):
        state, _ = step(state, event, knowledge())
        seen.append(sorted(part for part, _ in state.troubles))
    assert seen == [["microphone"], ["disk", "microphone"], ["disk", "microphone"], ["disk"]]


def test_marks_that_were_spoken_stand_in_where_the_bend_is_no_longer_taken() -> None:
    talk = after(*SET_UP, "offset", "forty", "six", "yes")
    place = talk.state.now
    spoken = place.stick.spoken
    assert spoken is not None
    strange = replace(place.stick, bends=(replace(place.stick.bends[0], kind="hexagon"),))
    kept = whole_stick(replace(place, stick=strange), talk.state.units, knowledge())
    assert [mark.at for mark in kept.marks] == [mark.at for mark in spoken.marks]
    with pytest.raises(BenchError):
        whole_stick(replace(place, stick=replace(strange, spoken=None)), talk.state.units, knowledge())


def test_what_may_be_said_of_a_neighbor_and_a_run() -> None:
    """Half an inch to two feet apart, runs by two digits: common practice, no source."""
    assert (SPACING.least, SPACING.most) == (Fraction(1, 2), Fraction(24))
    assert (RUN.least, RUN.most) == (Fraction(1), Fraction(99))
    assert SPACING.optional


def finish_of(stick: JobStick) -> Fraction | None:
    (laid,) = lay_out_job(Job(1, (stick,)), knowledge()).sticks
    assert laid.stick is not None
    return laid.stick.cut_at


def test_where_the_run_ends_is_that_of_the_stick_else_of_its_last_bend() -> None:
    """The cut is the finish and what the bends took more: the two ways to say it come to the same."""
    tools = Tools("emt", "1/2")
    plain = JobStick("1", (OFFSET,), tools=tools)
    said = replace(OFFSET, answers=(*OFFSET.answers, ("to_end", Fraction(70))))
    assert finish_of(plain) is None
    by_stick = finish_of(replace(plain, finish=Fraction(70)))
    assert by_stick is not None
    assert finish_of(replace(plain, bends=(said,))) == by_stick
    shorter = finish_of(replace(plain, bends=(said,), finish=Fraction(68)))
    assert shorter is not None
    assert by_stick - shorter == 2


def bent(talk: Conversation) -> None:
    """The stick read back is marked and bent, and fits."""
    talk.say("yes")
    while talk.stage is Stage.WORK:
        fits = "fits" in expectation(talk.state, knowledge()).choices
        talk.say("it fits" if fits else "next")


def test_a_stick_of_a_list_takes_the_next_one_after_it() -> None:
    sticks = tuple(JobStick(name, (OFFSET,), tools=Tools("emt", "1/2")) for name in "ABC")
    talk = Conversation()
    talk.state = initial(queue=sticks)
    talk.start()
    names = []
    for line in SET_UP:
        talk.say(line)
    for _ in sticks:
        names.append(talk.state.now.stick.name)
        bent(talk)
        talk.say("new stick")
    assert names == ["A", "B", "C"]
    assert talk.state.now.queued == 3
    assert talk.stage is Stage.PICK


def test_nothing_is_asked_after_goodbye() -> None:
    talk = after(*SET_UP)
    talk.say("goodbye")
    assert "bend?" not in talk.reply


def test_two_readings_are_offered_and_then_something_else_is_tried() -> None:
    """A third yes or no in a row would be one too many; what is asked for is asked another way."""
    readings = tuple(
        Hypothesis((word,), 0.35 - place / 100) for place, word in enumerate(("ten", "nine", "five"))
    )
    state = after(*SET_UP, "offset").state
    state, _ = step(state, Said(Heard(readings, 1.0)), knowledge())
    offered = []
    while state.aside is not None and state.aside.kind is AsideKind.OFFER:
        offered.append(state.aside.readings[0].value)
        state, _ = step(state, Said(typed("no")), knowledge())
    assert offered == [10, 9]
    assert state.aside is not None
    assert state.aside.kind is AsideKind.WHOLE


def test_a_state_on_disk_holds_each_stick_once() -> None:
    """Twelve steps can be undone; each of those places knows all the sticks of the job."""
    talk = after("emt", "half inch", "typical", "stub", "twelve", "yes")
    stick = replace(talk.state.now.stick, finish=None)
    place = replace(talk.state.now, done=tuple(replace(stick, name=str(n)) for n in range(100)))
    alone, undone = State(now=place), State(now=place, past=(place,) * 12)
    sizes = [len(json.dumps(state_to_json(state))) for state in (alone, undone)]
    assert sizes[1] < 1.3 * sizes[0]
    assert state_from_json(json.loads(json.dumps(state_to_json(undone)))).past == undone.past
