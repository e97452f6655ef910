"""How loud it is at the microphone, in a frame that never moves."""

from __future__ import annotations

from dataclasses import dataclass

from bench.data.screen_words import screen_words
from bench.screen.rows import Row
from bench.screen.themes import Role

QUIETEST = -60.0
"""Left end of the meter, dBFS; the right end is 0, where sound is clipped."""


@dataclass(frozen=True, slots=True)
class Sound:
    """The sound now: its level and the noise floor in dBFS, and whether it was clipped."""

    dbfs: float
    floor: float
    clipped: bool = False


def meter(sound: Sound | None, width: int) -> Row:
    """`MIC ▕████▌  ┊    ▏ -32 dB` in exactly `width` cells; no sound arriving is told in words."""
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
    told = (words.too_loud, Role.ALARM) if sound.clipped else (level, Role.QUIET)
    return (
        (words.microphone, Role.QUIET),
        ("▕", Role.QUIET),
        ("".join(bar), Role.METER),
        ("▏", Role.QUIET),
        told,
    )
