"""How the ears listen."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class EarSettings:
    """Times in seconds, probabilities 0 to 1."""

    start: float = 0.3
    """Probability of speech above which a slice of sound may be the start of an utterance: low, for in noise a short
    word is unlikely speech all along, and what is none is refused later."""
    speech: float = 0.5
    """Probability of speech above which a slice of an utterance counts as speech."""
    silence: float = 0.35
    """Probability of speech below which it counts as silence; between the two nothing changes."""
    begin: float = 0.096
    """Speech must last this long to be the start of an utterance: shorter is a knock or a click."""
    pre_roll: float = 0.4
    """Sound from before the detected start that is kept, so that no first consonant is lost."""
    look: float = 0.064
    """Silence after which the second recognizer begins: it may be the end."""
    look_again: float = 0.3
    """Silence after which it begins again where the first hears otherwise: in noise the end of a word is silent."""
    end_sure: float = 0.16
    """Silence that ends an utterance which both recognizers hear alike, parses whole, and cannot go on."""
    sure: float = 0.9
    """The confidence that takes."""
    end_agreed: float = 0.7
    """Silence that ends one which both hear alike and parses whole, though it could go on: of 740 places between the
    words of people's numbers (AN4) none has a longer pause, of 292 in ten-digit numbers six, three of them over 0.9."""
    end_whole: float = 0.35
    """Silence that ends an utterance which already parses whole and cannot go on."""
    end_open: float = 0.9
    """Silence that ends any other utterance: the person may be reading the rest off the tape."""
    longest: float = 10.0
    """Longer speech than this is talk, not an answer: given up, and a silence must come before the next."""
    not_ours: float = 0.15
    """Speech heard with less confidence than this was for somebody else: `ignore` of shared/confidence.toml."""
    talk_lasts: float = 6.0
    """For so long after such speech more of it is likelier than an answer, unless the assistant speaks."""
    talk_odds: float = 5.0
    """How much likelier."""
    hold_off: float = 0.3
    """After the assistant has spoken nothing begins for so long: the room still carries its voice."""
    partial_every: float = 0.4
    """Time between two partial readings while somebody speaks."""
    level_every: float = 0.1
    """Time between two level events."""
    lost_after: float = 1.0
    """No sound at all from the microphone for this long means that it is gone."""
    first_sound: float = 6.0
    """So long may the first sound take after opening: a wireless headset has to wake."""
    retry_every: float = 1.0
    """Time between attempts to find a lost microphone."""
