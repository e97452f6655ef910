"""The order in which the performer performs effects."""

from __future__ import annotations

from unittest.mock import Mock

from bench.assistant.performer import Performer
from bench.assistant.ports import Ports
from bench.dialogue.effects import Listen, Say, Show, View
from bench.language.meaning import Expectation, Kind


def test_what_can_be_said_is_known_before_it_is_shown_and_said() -> None:
    """A person who reads the screen may answer before a word is spoken."""
    parts = Mock()
    ports = Mock(spec=Ports, display=parts.display, ears=parts.ears, voice=parts.voice, headset=True)
    expectation = Expectation(Kind.YESNO)
    Performer(ports, lambda: None).perform([Say("Right?"), Show(View(verb="RIGHT?")), Listen(expectation)])
    done = [name for name, *_ in parts.mock_calls]
    assert done == ["ears.expect", "display.show", "voice.say"]
