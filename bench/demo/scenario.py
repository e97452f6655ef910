"""The scenario of the demonstration: what the person says in response to what."""

from __future__ import annotations

from dataclasses import dataclass

from bench.data.files import read_toml, structured


@dataclass(frozen=True, slots=True)
class Part:
    """What the person says in response to any of some prompts, once or every time.

    With `values`, the assistant must have read them all back; if not, `otherwise` is said.
    """

    hears: tuple[str, ...]
    says: str
    once: bool = False
    values: tuple[str, ...] = ()
    otherwise: str = "no"


@dataclass(frozen=True, slots=True)
class Scenario:
    """A job to demonstrate: its title, the person's voice and lines, and the expected marks.

    `doubt` is how the assistant asks whether it heard correctly; the person says yes if it did. `replies_per_minute`
    is the assistant's speech rate in words per minute.
    """

    title: str
    voices: tuple[str, ...]
    words_per_minute: int
    replies_per_minute: int
    marks: tuple[str, ...]
    doubt: str
    part: tuple[Part, ...]


def scenario() -> Scenario:
    """The demonstration of `shared/demo.toml`. Raises BenchError when it is damaged."""
    return structured("demo.toml", Scenario, read_toml("demo.toml"))
