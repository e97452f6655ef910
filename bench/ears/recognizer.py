"""What a recognizer must be able to do, whatever engine is inside."""

from __future__ import annotations

from typing import Protocol

from bench.audio.samples import Samples
from bench.language.meaning import Expectation, Heard


class Recognizer(Protocol):
    """Turns sound into words that the current grammar allows. One utterance at a time, from one thread at a time.

    `expect` sets the grammar of the next utterance and drops one that was begun. `accept` takes the sound block by
    block, `partial` returns the best reading so far, `finish` ends the utterance. It returns no hypotheses when the
    sound fits nothing in the grammar. Engine failures raise BenchError.
    """

    @property
    def name(self) -> str:
        """The engine and its model, for the person."""
        raise NotImplementedError

    def expect(self, expectation: Expectation) -> None:
        """Set the grammar from now on. Raises BenchError when the engine cannot load it."""

    def accept(self, block: Samples) -> None:
        """More sound of the utterance."""

    def partial(self) -> Heard:
        """The best reading so far. Its confidence is not calibrated."""
        raise NotImplementedError

    def pause(self) -> None:
        """A pause has begun or continues. Slow work on the sound so far may start."""
        return

    def resume(self) -> None:
        """Speech continues after the pause. Work that was started is dropped."""
        return

    def early(self, agreed: bool = True) -> Heard | None:
        """The result if nothing follows the pause, with calibrated confidence. None while it is not known.

        With `agreed`, all recognizers must have found the same. Otherwise the deciding one is asked alone.
        """
        return None

    def finish(self) -> Heard:
        """End the utterance. Returns its readings, best first. The next `accept` begins a new one."""
        raise NotImplementedError

    def close(self) -> None:
        """Release memory and files."""
