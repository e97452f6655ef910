"""The laws of the dialogue, after every event of every scripted conversation and over all the data."""

from __future__ import annotations

import json
from collections import Counter
from dataclasses import replace

import pytest

from bench.core.bends import BENDS
from bench.core.cautions import Step
from bench.core.lengths import Units
from bench.data.bundle import knowledge
from bench.dialogue.events import Event, Key, Pressed, Said, Silence
from bench.dialogue.machine import initial, reply, respond, step
from bench.dialogue.reask import current_prompt
from bench.dialogue.sayable import phrases
from bench.dialogue.state import UNDO_DEPTH, Stage, state_from_json, state_to_json
from bench.job.model import Tools
from bench.language.meaning import Heard, Hypothesis, typed
from bench.language.speak import spoken
from tests.dialogue.conversation import Conversation
from tests.dialogue.script import happenings


def test_the_screen_says_what_the_voice_says_and_offers_a_way_on() -> None:
    for one in happenings():
        assert one.view.said == one.said or one.after.quiet
        assert one.view.say
        assert one.view.paused == one.after.paused
        assert one.view.verb


def test_every_step_of_the_work_is_drawn() -> None:
    for one in happenings():
        now = one.after.now
        if now.stage is Stage.WORK and one.view.number and not one.after.aside:
            assert one.view.scenes, (one.view.verb, one.view.action)


def test_the_same_state_and_event_come_to_the_same() -> None:
    for one in happenings()[::9]:
        assert step(one.before, one.event, knowledge()) == (one.after, one.effects)


def test_the_state_outlives_being_written_down() -> None:
    for one in happenings()[::3]:
        raw = json.loads(json.dumps(state_to_json(one.after)))
        again = state_from_json(raw)
        assert (again.now, again.past) == (one.after.now, one.after.past)
        assert json.loads(json.dumps(state_to_json(again))) == raw
        assert (again.units, again.paused, again.quiet) == (
            one.after.units,
            one.after.paused,
            one.after.quiet,
        )
        assert (again.profiles, again.queue) == (one.after.profiles, one.after.queue)


def test_undo_comes_back_to_the_very_place() -> None:
    undo = Said(typed("undo"))
    moves = [(one, (*one.before.past, one.before.now)[-UNDO_DEPTH:]) for one in happenings()[::3]]
    moved = [(one, past) for one, past in moves if one.after.past == past and not one.after.paused]
    assert len(moved) > 100
    for one, past in moved:
        back, _ = step(one.after, undo, knowledge())
        assert back.now == one.before.now
        assert back.past == past[:-1]


def test_silence_moves_nothing_and_reminds_once() -> None:
    states = {one.after for one in happenings()[::3]}
    for state in states:
        once, effects = step(state, Silence(300.0), knowledge())
        assert (once.now, once.past) == (state.now, state.past)
        twice, more = step(once, Silence(300.0), knowledge())
        assert twice == once
        said = [effect for effect in more if type(effect).__name__ in ("Say", "Earcon")]
        assert not said, "reminded twice"
        if not (state.reminded or state.paused or state.quiet):
            assert any(type(effect).__name__ == "Say" for effect in effects)


def test_the_instruction_comes_first_and_repeat_tells_it_alone() -> None:
    cautions = {caution.key for caution in knowledge().cautions.caution}
    working = {
        one.after for one in happenings() if one.after.now.stage is Stage.WORK and not one.after.paused
    }
    assert any(current_prompt(state, knowledge()).once for state in working)
    for state in working:
        prompt = current_prompt(state, knowledge())
        assert not cautions.intersection(note.code for note in prompt.ask)
        turn = respond(state, Said(typed("repeat")), knowledge())
        if state.aside is None:
            assert reply(turn, knowledge()) == prompt.ask


def test_cautions_are_spoken_once_a_job_and_shown_on_every_stick() -> None:
    talk = Conversation()
    talk.start()
    cautions = Counter[str]()
    keys = {caution.key for caution in knowledge().cautions.caution if caution.step is not Step.START}
    shown = []
    for words in (
        "emt",
        "half inch",
        *["offset thirty eight out ten high", "yes", *["next"] * 10, "new stick"] * 2,
    ):
        talk.say(words)
        cautions.update(note.code for note in talk.notes if note.code in keys)
        shown += [talk.state.now.stick.name for _ in talk.view.cautions[:1]]
    assert cautions == {"footing": 1, "saw": 1, "overhead": 1}
    assert {"1", "2"} <= set(shown)


def test_help_says_first_what_is_useful_here_in_under_twenty_words() -> None:
    """Wherever something else can be said; help tells of nothing but that."""
    places = {(one.listened, one.after.now.stage): one for one in happenings() if one.after.aside is None}
    for one in places.values():
        if one.after.paused:
            continue
        turn = respond(one.after, Said(typed("what can i say")), knowledge())
        said = " ".join(spoken(note, Units.INCH) for note in turn.lead)
        assert len(said.split()) < 20, said
        first = phrases(current_prompt(one.after, knowledge()).expect, knowledge())[0]
        assert first in said


def test_more_tells_everything_that_can_be_said() -> None:
    talk = Conversation()
    talk.start()
    for words in ("emt", "half inch"):
        talk.say(words)
    wanted = phrases(current_prompt(talk.state, knowledge()).expect, knowledge())
    talk.say("help")
    heard = talk.reply
    while "Or more" in talk.reply:
        talk.say("more")
        heard += talk.reply
    assert not [phrase for phrase in wanted if phrase not in heard]


def test_after_three_misses_the_questions_own_answers_are_still_taken() -> None:
    for said, misses, answer, stage in (
        (("emt", "half inch"), 3, "offset", Stage.ASK),
        ((), 3, "rigid", Stage.SIZE),
        (("emt",), 3, "three quarter", Stage.PICK),
        (("emt", "half inch", "offset", "forty", "six", "change", "angle"), 3, "thirty", Stage.READ_BACK),
        (("emt", "half inch", "offset", "forty", "six", "change", "angle"), 3, "no thirty", Stage.READ_BACK),
        (("emt", "half inch", "parallel run", "forty", "six", "two"), 3, "three", Stage.READ_BACK),
    ):
        talk = Conversation()
        talk.start()
        for words in (*said, *["blue"] * misses):
            talk.say(words)
        assert talk.view.verb == knowledge().verbs["did_you_say"], said
        talk.say(answer)
        assert talk.stage is stage, (answer, talk.reply)


def test_a_number_said_to_an_offered_reading_of_a_yes_confirms_nothing() -> None:
    """Found by the fuzz: at a read-back only yes may be answered to "Did you say yes?"."""
    talk = Conversation()
    talk.start()
    for words in ("emt", "half inch", "stub", "ten"):
        talk.say(words)
    talk.take(Said(Heard((Hypothesis(("yes",), 0.4),))))
    assert talk.view.verb == knowledge().verbs["did_you_say"]
    talk.say("no twelve")
    assert not talk.state.now.stick.bends
    assert talk.stage is Stage.READ_BACK


def test_an_utterance_not_understood_is_answered_with_the_nearest_phrase() -> None:
    talk = Conversation()
    talk.start()
    talk.say("skip the bender please now")
    assert "Or say:" in talk.reply
    talk.say("e m tee")
    assert "Or say: emt." in talk.reply


def test_undo_says_what_it_took_back() -> None:
    talk = Conversation()
    talk.start()
    for words in ("emt", "half inch", "offset", "forty", "six and a half", "yes", "next"):
        talk.say(words)
    told = []
    for _ in range(6):
        talk.say("undo")
        told.append(talk.reply.split(".")[0])
    assert told == [
        "Took back: mark one",
        "Took back: the yes",
        "Took back: rise six and a half",
        "Took back: distance forty inches",
        "Took back: offset",
        "Took back: half inch",
    ]


@pytest.mark.parametrize("kind", BENDS)
def test_in_one_breath_every_bend_is_two_utterances_from_its_first_mark(kind: str) -> None:
    """With the set-up remembered: the order and the yes."""
    talk = Conversation(replace(initial(), now=replace(initial().now, tools=Tools("emt", "3/4"))))
    talk.start()
    assert talk.reply.endswith("as before. Which bend?")
    talk.say(ONE_BREATH[kind])
    assert talk.stage is Stage.READ_BACK, talk.reply
    talk.say("yes")
    assert talk.view.verb == knowledge().verbs["mark"], talk.reply


ONE_BREATH = {
    "offset": "offset six high at forty",
    "saddle3": "three point saddle thirty one and a quarter to center two and a half high",
    "saddle4": "four point saddle forty to the edge three high eight wide",
    "stub": "stub fourteen",
    "back-to-back": "back to back stub twelve forty between",
    "kick": "kick forty out five high",
    "rolling": "rolling offset sixty out eight high six over",
    "box-offset": "box offset a half deep",
    "parallel": "parallel run forty out six high two apart three pipes",
    "segmented": "segmented bend radius twenty four ninety degrees eighteen shots",
}


def test_a_state_that_is_none_is_refused_by_name() -> None:
    raw = state_to_json(initial())
    for damage in ({"now": {"stage": "nowhere"}}, {"units": "furlong"}, {"past": 3}):
        with pytest.raises(ValueError, match=r"\w"):
            state_from_json({**raw, **damage})


def test_only_a_yes_puts_a_bend_on_the_stick() -> None:
    """What is said or pressed at a read-back, other than yes, leaves the stick as it was."""
    talk = Conversation()
    talk.start()
    for words in ("emt", "half inch", "typical", "offset", "thirty eight", "ten"):
        talk.say(words)
    assert talk.stage is Stage.READ_BACK
    said = ("next", "go on", "no", "change", "undo", "it fits", "ten", "yes no")
    others: list[Event] = [Said(typed(words)) for words in said]
    others += [Pressed(key) for key in (Key.BACK, Key.NO, Key.REPEAT, Key.PAUSE, Key.HELP)]
    for event in others:
        state, _ = step(talk.state, event, knowledge())
        assert not state.now.stick.bends, event
    state, _ = step(talk.state, Said(typed("yes")), knowledge())
    assert len(state.now.stick.bends) == 1
