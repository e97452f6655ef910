"""Two recognizers, one answer: Vosk follows the speech, the second recognizer decides what was said.

Vosk decodes while the person speaks and ends the utterance; without the second recognizer its result counts. The
second searches the current grammar from the first pause on, and scores the readings that only Vosk has. Both together
give one confidence.
"""

from __future__ import annotations

import logging
from dataclasses import dataclass, field

import numpy as np

from bench.audio.samples import RATE, Samples
from bench.ears.confidence import Evidence
from bench.ears.joint import Joint, JointConfidence
from bench.ears.recognizer import Recognizer
from bench.ears.second.client import Readings, SecondRecognizer
from bench.ears.sense import Sense, SenseOf, Senses
from bench.ears.vosk_ear import VoskRecognizer
from bench.language.meaning import Expectation, Heard, Hypothesis

log = logging.getLogger(__name__)

_SURE = 0.95
"""With this confidence the second recognizer neither hears it again nor scores other readings of the first."""
_UNHEARD = 0.2
"""Seconds of sound that came after the second recognizer began, and may hold the end of a word."""
_TOLD = 3
"""Readings of each recognizer that the log keeps."""


@dataclass(frozen=True, slots=True)
class Apart:
    """The results of each recognizer for the last utterance. `second` is None when it did not answer in time.

    `alone` are the numbers behind the confidence of the first, `evidence` those behind that of both.
    """

    first: Heard
    second: Readings | None = None
    evidence: Joint = field(default_factory=Joint)
    alone: Evidence | None = None


def told(heard: Heard) -> str:
    """The readings with their confidence, for the log."""
    return ", ".join(f"{' '.join(one.words)} {one.confidence:.2f}" for one in heard.hypotheses[:_TOLD]) or "-"


def scores_told(readings: Readings) -> str:
    """The readings with their log probabilities, for the log."""
    return ", ".join(f"{' '.join(one.words)} {one.score:.1f}" for one in readings[:_TOLD]) or "-"


class TwoRecognizers(Recognizer):
    """Both as one recognizer. `apart` is what each heard of the last utterance.

    `senses` tells what readings mean.
    """

    def __init__(
        self, first: VoskRecognizer, second: SecondRecognizer, confidence: JointConfidence, senses: Senses
    ) -> None:
        self._first = first
        self.second = second
        self._confidence = confidence
        self._senses = senses
        self._sense: SenseOf = Sense
        self._expectation: Expectation | None = None
        self._blocks: list[Samples] = []
        self._ticket = 0
        self._heard = 0
        self.apart = Apart(Heard(()))

    @property
    def name(self) -> str:
        """Both, or the first alone while the second is missing."""
        return f"{self._first.name} and a second recognizer" if self.second.ready else self._first.name

    def expect(self, expectation: Expectation) -> None:
        """Set the grammar of both. Raises BenchError when the first cannot load it."""
        self._forget()
        self._expectation = expectation
        self._sense = self._senses(expectation)
        self.second.expect(expectation)
        self._first.expect(expectation)
        # Only now: while everything starts at once, the first is wanted most.
        self.second.start()

    def accept(self, block: Samples) -> None:
        """More sound, for both."""
        if not self._blocks and self._expectation is not None:
            self.second.expect(self._expectation)  # it may have come up since
        self._first.accept(block)
        self._blocks.append(block)

    def pause(self) -> None:
        """Start the second recognizer on the sound so far, unless it is busy with it or agrees with the first."""
        if self._ticket:
            readings = self.second.peek(self._ticket)
            if readings is None or self._settled(self._first.partial(), readings):
                return
        self._hear()

    def resume(self) -> None:
        """The sound that the second recognizer works on is not the whole utterance."""
        self._ticket = 0

    def partial(self) -> Heard:
        """What the first hears, as it comes."""
        return self._first.partial()

    def early(self, agreed: bool = True) -> Heard | None:
        """The result of the second for the sound up to the pause. With `agreed`, only if the first has the same."""
        best = self._confidence.alone(self.second.peek(self._ticket) or (), self._sense)
        if best is None:
            return None
        first = self._first.partial()
        if agreed and not self._alike(first, best):
            return None
        return Heard((best,), first.seconds)

    def finish(self) -> Heard:
        """The readings of both, best first, with one confidence."""
        if not self._ticket:
            self._hear()
        first = self._first.finish()
        readings = self.second.found(self._ticket)
        if readings is not None and self._more() and not self._settled(first, readings):
            self._hear()
            readings = self.second.found(self._ticket) or readings
        self._forget()
        if readings is None:
            self.apart = Apart(first, alone=self._first.evidence)
            log.info("first: %s; second: no answer", told(first))
            return first
        if not self._sure(readings):
            readings = self._completed(readings, first)
        evidence = self._confidence.evidence(first, readings, self._sense)
        self.apart = Apart(first, readings, evidence, self._first.evidence)
        heard = Heard(self._confidence.hypotheses(evidence), first.seconds)
        log.info("first: %s; second: %s; both: %s", told(first), scores_told(readings), told(heard))
        return heard

    def wait(self) -> bool:
        """Wait until the second recognizer is up; false when it does not come."""
        self.second.start()
        return self.second.wait()

    def close(self) -> None:
        """Release both."""
        self.second.close()
        self._first.close()

    def _hear(self) -> None:
        if self._expectation is not None and self._blocks:
            self._heard = len(self._blocks)
            self._ticket = self.second.hear(np.concatenate(self._blocks), self._expectation)

    def _more(self) -> bool:
        """Whether more sound has come since the second began: in noise, the end of a word looks like a pause."""
        return sum(len(block) for block in self._blocks[self._heard :]) > _UNHEARD * RATE

    def _settled(self, first: Heard, readings: Readings) -> bool:
        """Whether both agree and the second is sure."""
        best = self._sure(readings)
        return best is not None and self._alike(first, best)

    def _sure(self, readings: Readings) -> Hypothesis | None:
        """What the second recognizer hears, where it is sure."""
        best = self._confidence.alone(readings, self._sense)
        return best if best is not None and best.confidence >= _SURE else None

    def _alike(self, first: Heard, best: Hypothesis) -> bool:
        """Whether the first hears what means the same as the second's best reading."""
        if not first.hypotheses:
            return False
        words = self._confidence.plain(first.hypotheses[0].words)
        return words == best.words or self._sense(words).meaning == self._sense(best.words).meaning

    def _forget(self) -> None:
        self._blocks = []
        self._heard = 0
        self._ticket = 0

    def _completed(self, readings: Readings, first: Heard) -> Readings:
        """The readings of the second, with scores for those that only the first has."""
        known = {reading.words for reading in readings}
        read = dict.fromkeys(self._confidence.plain(one.words) for one in first.hypotheses)
        missing = [words for words in read if words and words not in known]
        judged = self.second.found(self.second.judge(missing)) if missing else None
        return tuple(sorted((*readings, *(judged or ())), key=lambda reading: -reading.score))
