"""What is remembered from one day to the next: devices, voice, theme."""

from __future__ import annotations

import logging
from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from typing import Any, get_type_hints

import cattrs

log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Settings:
    """Devices by name or part of one, None for the system's own; voice as `VoiceSettings` has it.

    `keys` are keys of a pedal or clicker, by the terminal's name, and what they were taught to mean.
    """

    ear: str = "auto"
    mic: str | None = None
    speaker: str | None = None
    voice: str = "auto"
    words_per_minute: int = 160
    volume_db: float = -4.0
    theme: str = "dark"
    keys: dict[str, str] = field(default_factory=dict)


def settings_from(kept: Mapping[str, Any]) -> Settings:
    """Settings as kept; one that is not valid any more takes the default."""
    good = Settings()
    shapes = get_type_hints(Settings)
    for name in (one.name for one in fields(Settings) if one.name in kept):
        try:
            good = replace(good, **{name: cattrs.structure(kept[name], shapes[name])})
        except Exception as error:
            log.warning("setting %s = %r dropped: %s", name, kept[name], error)
    return good
