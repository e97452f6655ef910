"""The fixed words on the screen, from `[screen]` in `shared/prompts.toml`."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from bench.data.files import read_toml, structured

_FILE = "prompts.toml"


@dataclass(frozen=True, slots=True)
class ScreenWords:
    """Each word as shown on the screen, spaces included. Names in braces are filled in."""

    start: str
    paused: str
    step: str
    trouble: str
    caution: str
    say: str
    say_or_type: str
    say_or_tap: str
    menu: str
    menu_head: str
    close: str
    more: str
    too_quiet: str
    learn: str
    learn_key: str
    type: str
    type_how: str
    hearing: str
    heard: str
    not_listening: str
    microphone: str
    too_loud: str
    no_sound: str
    too_small: str
    unknown_key: str
    second_recognizer: str
    quit_again: str
    colors: str
    letters: tuple[str, ...]
    back: str
    repeat: str
    next: str
    no: str
    yes: str
    go_on: str
    tape_end: str
    hook: str
    hook_either: str
    pull_to: str
    level: str
    leans: str


@cache
def screen_words() -> ScreenWords:
    """The words, read once. Raises BenchError naming a missing or unknown key."""
    return structured(_FILE, ScreenWords, read_toml(_FILE).get("screen", {}))


@cache
def tile_faces() -> Mapping[str, str]:
    """Short words for tiles in block letters, by the long phrase they replace: `[faces]` in the same file."""
    return {str(phrase): str(face) for phrase, face in read_toml(_FILE).get("faces", {}).items()}
