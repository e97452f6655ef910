"""Which voice, which settings."""

from __future__ import annotations

import pytest

from bench.core.notes import BenchError
from bench.dialogue.effects import Tuning
from bench.voice.voice_settings import RATE_RANGE_WPM, VOLUME_RANGE_DB, VoiceSettings
from bench.voice.voices import AUTO, PYTTSX3, Voice, choose, programs

BRITISH = Voice(PYTTSX3, "gmw/en", "English (Great Britain)", ("en-gb",))
AMERICAN = Voice(PYTTSX3, "gmw/en-us", "English (America)", ("en-us",))
GERMAN = Voice(PYTTSX3, "gmw/de", "German", ("de",))
FLITE = Voice("flite", "slt", "flite slt", ("en-us",))


@pytest.mark.parametrize(
    ("wanted", "voices", "taken"),
    [
        (AUTO, (GERMAN, BRITISH, AMERICAN, FLITE), AMERICAN),
        (AUTO, (GERMAN, BRITISH), BRITISH),
        (AUTO, (FLITE,), FLITE),
        (AUTO, (GERMAN,), GERMAN),
        ("slt", (AMERICAN, FLITE), FLITE),
        ("great britain", (AMERICAN, BRITISH), BRITISH),
        ("gmw/de", (AMERICAN, GERMAN), GERMAN),
    ],
)
def test_choice_of_voice(wanted: str, voices: tuple[Voice, ...], taken: Voice) -> None:
    assert choose(wanted, voices) == taken


def test_a_voice_that_is_not_there_lists_those_that_are() -> None:
    with pytest.raises(BenchError) as raised:
        choose("nobody", (AMERICAN, FLITE))
    assert "English (America), flite slt" in raised.value.remedy.template


def test_every_speech_program_states_its_license_and_takes_words_voice_and_file() -> None:
    for program in programs():
        assert program.license
        line = " ".join(program.command)
        assert all(slot in line for slot in ("{words}", "{file}", "{voice}"))


def test_steps_up_and_down_meet_and_stay_in_range() -> None:
    start = VoiceSettings()
    assert start.tuned(Tuning.VOLUME, -1).tuned(Tuning.VOLUME, +1) == start
    assert start.tuned(Tuning.RATE, +1).tuned(Tuning.RATE, -1) == start
    assert start.tuned(Tuning.VOLUME, 99).volume_db == VOLUME_RANGE_DB[1]
    assert start.tuned(Tuning.RATE, -99).words_per_minute == RATE_RANGE_WPM[0]
