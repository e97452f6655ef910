"""What a recognizer must be able to do, whatever engine is inside."""

from __future__ import annotations

from typing import Protocol

from bench.audio.samples import Samples
from bench.language.meaning import Expectation, Heard


class Recognizer(Protocol):
    """Sound to words within what can be said now. One utterance at a time; used from one thread at a time.

    `expect` chooses the grammar of the next utterance and drops one that was begun. `accept` takes the sound
    of the utterance piece by piece, `partial` tells what it sounds like so far, `finish` ends it. `finish`
    returns no hypotheses when the sound fits nothing that can be said. Engine failures raise BenchError.
    """

    @property
    def name(self) -> str:
        """The engine and its model, for the person."""
        raise NotImplementedError

    def expect(self, expectation: Expectation) -> None:
        """Only this can be said from now on. Raises BenchError when the engine cannot take it."""

    def accept(self, block: Samples) -> None:
        """More sound of the utterance."""

    def partial(self) -> Heard:
        """What it sounds like so far: the best reading only, its confidence not calibrated."""
        raise NotImplementedError

    def pause(self) -> None:
        """A pause has begun, or lasts: what takes time may be started on the sound so far."""
        return

    def resume(self) -> None:
        """Speech goes on after the pause: what was started is of no use."""
        return

    def early(self, agreed: bool = True) -> Heard | None:
        """What will be heard if nothing follows the pause, once that is known with a calibrated confidence.

        Of several recognizers all must be `agreed` on it, unless the one that decides is to be asked alone.
        """
        return None

    def finish(self) -> Heard:
        """The utterance is over: its readings, best first. The next `accept` begins a new one."""
        raise NotImplementedError

    def close(self) -> None:
        """Give back memory and files."""
