"""What a recognizer must be able to do, whatever engine is inside."""

from __future__ import annotations

from typing import Protocol, TypeAlias

import numpy as np
from numpy.typing import NDArray

from bench.language.meaning import Expectation, Heard

RATE = 16_000
"""Samples a second everywhere behind the microphone."""

Samples: TypeAlias = NDArray[np.int16]
"""Mono sound at `RATE`, 16 bit."""


class Recognizer(Protocol):
    """Sound to words within what can be said now. One utterance at a time; used from one thread at a time.

    `expect` chooses the grammar of the next utterance and drops one that was begun. `accept` takes the sound
    of the utterance piece by piece, `partial` tells what it sounds like so far, `finish` ends it. `finish`
    returns no hypotheses when the sound fits nothing that can be said. Engine failures raise BenchError.
    """

    @property
    def name(self) -> str:
        """The engine and its model, for the person."""

    def expect(self, expectation: Expectation) -> None:
        """Only this can be said from now on. Raises BenchError when the engine cannot take it."""

    def accept(self, block: Samples) -> None:
        """More sound of the utterance."""

    def partial(self) -> Heard:
        """What it sounds like so far: the best reading only, its confidence not calibrated."""

    def finish(self) -> Heard:
        """The utterance is over: its readings, best first. The next `accept` begins a new one."""

    def close(self) -> None:
        """Give back memory and files."""
