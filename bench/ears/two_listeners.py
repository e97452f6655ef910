"""Two listeners, one answer: Vosk follows the speech, the second listener decides what was said.

Vosk hears along, ends the utterance, and gives its readings; alone it answers too. From the first pause on the second
listener searches the grammar of the moment, and scores what Vosk read and it did not. One confidence is made of both.
"""

from __future__ import annotations

import logging
from dataclasses import dataclass, replace

import numpy as np

from bench.audio.samples import Samples
from bench.ears.joint import Joint, JointConfidence, joint_evidence
from bench.ears.recognizer import Recognizer
from bench.ears.second.client import SecondListener
from bench.ears.second.search import Found
from bench.ears.vosk_ear import VoskRecognizer
from bench.language.meaning import Expectation, Heard, Hypothesis

log = logging.getLogger(__name__)

_TOLD = 3
"""Readings of each listener that the log keeps."""


@dataclass(frozen=True, slots=True)
class Apart:
    """What each listener made of the last utterance, for the log, `--json` and measuring."""

    first: Heard
    second: Found | None = None
    evidence: Joint | None = None

    @property
    def second_told(self) -> str:
        """The readings of the second with their log probabilities, and its free reading."""
        if self.second is None:
            return "no answer"
        readings = [*self.second.readings[:_TOLD], self.second.free]
        return ", ".join(f"{' '.join(one.words) or '-'} {one.score:.1f}" for one in readings) + " (free)"


def told(heard: Heard) -> str:
    """The readings with their confidence, for the log."""
    return ", ".join(f"{' '.join(one.words)} {one.confidence:.2f}" for one in heard.hypotheses[:_TOLD]) or "-"


class TwoListeners(Recognizer):
    """Both listeners as one recognizer. `apart` is what each heard of the last utterance."""

    def __init__(self, first: VoskRecognizer, second: SecondListener, confidence: JointConfidence) -> None:
        self._first = first
        self.second = second
        self._confidence = confidence
        self._expectation: Expectation | None = None
        self._blocks: list[Samples] = []
        self._ticket = 0
        self.apart = Apart(Heard(()))

    @property
    def name(self) -> str:
        """Both, or the first alone while the second is missing."""
        return f"{self._first.name} and a second listener" if self.second.ready else self._first.name

    def expect(self, expectation: Expectation) -> None:
        """Both know what can be said now. Raises BenchError when the first cannot take it."""
        self._forget()
        self._expectation = expectation
        self.second.expect(expectation)
        self._first.expect(expectation)

    def accept(self, block: Samples) -> None:
        """More sound, for both."""
        self._first.accept(block)
        self._blocks.append(block)

    def pause(self) -> None:
        """The second listener begins to work on what was said so far."""
        if self._expectation is not None and self._blocks:
            self._ticket = self.second.hear(np.concatenate(self._blocks), self._expectation)

    def resume(self) -> None:
        """What the second listener works on is not the end."""
        self._ticket = 0

    def partial(self) -> Heard:
        """What the first hears, as it comes."""
        return self._first.partial()

    def early(self) -> Heard | None:
        """What the second has made of the sound up to the pause, where the first hears the same; else None."""
        found = self.second.peek(self._ticket)
        if found is None or not found.readings:
            return None
        first = self._first.partial()
        if not first.hypotheses or self._plain(first.hypotheses[0].words) != found.readings[0].words:
            return None
        sure = self._confidence.early(found)
        return Heard((Hypothesis(found.readings[0].words, sure),), first.seconds)

    def finish(self) -> Heard:
        """The readings of both, best first, with one confidence."""
        if not self._ticket:
            self.pause()
        first = self._first.finish()
        found = self.second.found(self._ticket)
        if found is not None:
            found = self._completed(found, first)
        if found is None:
            self.apart = Apart(first)
        heard = first if found is None else self._joined(first, found)
        self._forget()
        return heard

    def wait(self) -> bool:
        """Wait until the second listener is up; false when it does not come."""
        return self.second.wait()

    def close(self) -> None:
        """Give back both."""
        self.second.close()
        self._first.close()

    def _forget(self) -> None:
        self._blocks = []
        self._ticket = 0

    def _plain(self, words: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(word for word in words if word not in self._confidence.unwritten)

    def _completed(self, found: Found, first: Heard) -> Found:
        """With a score for what the first read and the second did not."""
        known = {reading.words for reading in found.readings}
        more = list(dict.fromkeys(self._plain(one.words) for one in first.hypotheses))
        missing = [words for words in more if words and words not in known]
        if not missing:
            return found
        judged = self.second.found(self.second.judge(missing))
        if judged is None:
            return found
        readings = sorted((*found.readings, *judged.readings), key=lambda reading: -reading.score)
        return replace(found, readings=tuple(readings))

    def _joined(self, first: Heard, found: Found) -> Heard:
        plain = replace(
            first, hypotheses=tuple(replace(one, words=self._plain(one.words)) for one in first.hypotheses)
        )
        evidence = joint_evidence(plain, self._first.evidence, found)
        self.apart = Apart(first, found, evidence)
        heard = Heard(self._confidence.hypotheses(evidence), first.seconds)
        log.info("first: %s; second: %s; together: %s", told(first), self.apart.second_told, told(heard))
        return heard
