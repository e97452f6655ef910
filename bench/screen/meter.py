"""The level meter of the microphone, in a fixed frame."""

from __future__ import annotations

from dataclasses import dataclass

from bench.data.screen_words import screen_words
from bench.screen.rows import Row
from bench.screen.themes import Role

QUIETEST = -60.0
"""Left end of the meter in dBFS. The right end is 0, where sound is clipped."""


@dataclass(frozen=True, slots=True)
class Sound:
    """The current sound: its level and noise floor in dBFS, and whether it was clipped."""

    dbfs: float
    floor: float
    clipped: bool = False


QUIET_OVER_FLOOR = 6.0
"""Decibels above the noise below which speech is hard to recognize: twice the sound pressure of the noise."""


def meter(sound: Sound | None, width: int, speaking: bool = False) -> Row:
    """`MIC ▕████▌  ┊    ▏ -32 dB` in exactly `width` cells. Words report missing sound, clipped sound, and sound too
    close to the noise while somebody is `speaking`."""
    words = screen_words()
    cells = max(4, width - len(words.microphone) - 2 - len(words.too_loud))
    if sound is None:
        return (
            (words.microphone, Role.QUIET),
            ("▕" + words.no_sound.center(cells)[:cells] + "▏", Role.QUIET),
            (" " * len(words.too_loud), Role.QUIET),
        )
    share = (max(QUIETEST, min(0.0, sound.dbfs)) - QUIETEST) / -QUIETEST
    filled = int(share * cells)
    bar = list("█" * filled + " " * (cells - filled))
    floor = int((max(QUIETEST, min(-0.01, sound.floor)) - QUIETEST) / -QUIETEST * cells)
    bar[floor] = "┊" if floor >= filled else "┃"
    level = f"{max(QUIETEST, sound.dbfs):4.0f} dB".rjust(len(words.too_loud))
    told = (level, Role.QUIET)
    if sound.clipped:
        told = (words.too_loud, Role.ALARM)
    elif speaking and sound.dbfs < sound.floor + QUIET_OVER_FLOOR:
        told = (words.too_quiet.rjust(len(words.too_loud))[: len(words.too_loud)], Role.ALARM)
    return (
        (words.microphone, Role.QUIET),
        ("▕", Role.QUIET),
        ("".join(bar), Role.METER),
        ("▏", Role.QUIET),
        told,
    )
