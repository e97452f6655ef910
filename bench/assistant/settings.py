"""Settings that persist between sessions: devices, voice, theme."""

from __future__ import annotations

import logging
from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from typing import Any, Literal, get_type_hints

import cattrs

from bench.dialogue.events import Key
from bench.screen.themes import ThemeName
from bench.voice.voice_settings import RATE_RANGE_WPM, VOLUME_RANGE_DB

log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Settings:
    """Devices by full or partial name, None for the system default. The voice fields are those of `VoiceSettings`.

    `keys` maps keys of a pedal or clicker, by the terminal's name, to their assigned meaning.
    `letters` is the size of the screen's letters: 1 larger, -1 smaller than usual.
    """

    ear: Literal["auto", "vosk", "none"] = "auto"
    mic: str | None = None
    speaker: str | None = None
    voice: str = "auto"
    words_per_minute: int = 160
    volume_db: float = -4.0
    theme: ThemeName = ThemeName.DARK
    letters: Literal[-1, 0, 1] = 0
    keys: dict[str, Key] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Raises ValueError for a value outside the voice's range."""
        for name, value, (least, most) in (
            ("words_per_minute", self.words_per_minute, RATE_RANGE_WPM),
            ("volume_db", self.volume_db, VOLUME_RANGE_DB),
        ):
            if not least <= value <= most:
                raise ValueError(f"{name} is {value}, not {least} to {most}")


def settings_from(kept: Mapping[str, Any]) -> tuple[Settings, tuple[str, ...]]:
    """The stored settings, and the names of those that are no longer valid and were reset to the default."""
    good, dropped = Settings(), list[str]()
    shapes = get_type_hints(Settings)
    for name in (one.name for one in fields(Settings) if one.name in kept):
        try:
            good = replace(good, **{name: cattrs.structure(kept[name], shapes[name])})
        except Exception as error:
            log.warning("setting %s = %r dropped: %s", name, kept[name], error)
            dropped.append(name)
    return good, tuple(dropped)
