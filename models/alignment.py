"""Word alignment of a recording by the first recognizer: the best path of its phones through the recording.

Uses only NumPy and the shipped weights, so that a corpus can be prepared without an accelerator.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from models.features import RATE, STEP, mfcc
from models.kaldi import affines
from models.units import SILENCE, UNIT_NUMBER

Prons = Mapping[str, tuple[tuple[str, ...], ...]]
NEVER = -1e30
BYPASS = 0.66
SUBSAMPLING = 3
OUT_STEP = STEP * SUBSAMPLING
"""Samples between output frames."""


@dataclass(frozen=True)
class Said:
    """The units of one utterance as a graph: each state's unit and predecessors, and the start and end states.

    `words` is the index of each state's word, -1 for silence.
    """

    units: np.ndarray
    before: list[list[int]]
    starts: list[int]
    ends: list[int]
    words: np.ndarray


def said_graph(words: Sequence[str], prons: Prons) -> Said:
    """The graph of the words with all pronunciations and optional silence before, between and after them."""
    units: list[int] = [UNIT_NUMBER[SILENCE]]
    before: list[list[int]] = [[]]
    owner = [-1]
    starts, entry = [0], [0]
    may_start = True
    for number, word in enumerate(words):
        word_ends = []
        for phones in prons[word]:
            previous = entry
            for at, phone in enumerate(phones):
                units.append(UNIT_NUMBER[phone])
                before.append(list(previous))
                owner.append(number)
                if at == 0 and may_start:
                    starts.append(len(units) - 1)
                previous = [len(units) - 1]
            word_ends += previous
        units.append(UNIT_NUMBER[SILENCE])
        before.append(list(word_ends))
        owner.append(-1)
        entry, may_start = [*word_ends, len(units) - 1], False
    return Said(np.array(units), before, starts, entry, np.array(owner))


class Aligner:
    """The acoustic model of a directory such as `bench-en`."""

    def __init__(self, folder: Path) -> None:
        self._parts = affines((folder / "am" / "final.mdl").read_bytes())
        self._blocks = sum(name.endswith(".low") for name in self._parts) - 1

    def spans(self, samples: np.ndarray, words: Sequence[str], prons: Prons) -> list[tuple[float, float]]:
        """Start and end of each word, in seconds. Raises ValueError for a recording too short for them."""
        found: list[list[int]] = [[] for _ in words]
        for frame, word in enumerate(_best(self.scores(samples), said_graph(words, prons))):
            if word >= 0:
                found[word].append(frame)
        # The middle of a frame is 200 samples after its start.
        edge = (200 - OUT_STEP / 2) / RATE
        step = OUT_STEP / RATE
        return [(max(0.0, one[0] * step + edge), (one[-1] + 1) * step + edge) for one in found]

    def scores(self, samples: np.ndarray) -> np.ndarray:
        """The network's output, [frames, classes], for one frame in three."""
        sound = mfcc(samples).astype(np.float32)
        context = SUBSAMPLING * self._blocks + 3
        sound = np.concatenate([sound[:1].repeat(context, 0), sound, sound[-1:].repeat(context, 0)])
        sound = _rectified(self._affine("first", _beside(sound, 5)))
        sound = _beside(sound, 3)[::SUBSAMPLING]
        sound = _rectified(self._affine("second", self._affine("second.low", sound)))
        for number in range(1, self._blocks + 1):
            low = _beside(self._affine(f"block{number}.low", _beside(sound, 2)), 2)
            sound = BYPASS * sound[1:-1] + _rectified(self._affine(f"block{number}", low))
        return self._affine("out", sound)

    def _affine(self, name: str, sound: np.ndarray) -> np.ndarray:
        weights, bias = self._parts[name]
        return np.asarray(sound @ weights.T + bias)


def _beside(sound: np.ndarray, count: int) -> np.ndarray:
    """Each frame concatenated with the following ones, `count` in all."""
    size = len(sound) - count + 1
    return np.concatenate([sound[at : at + size] for at in range(count)], 1)


def _rectified(sound: np.ndarray) -> np.ndarray:
    return np.asarray(np.maximum(sound, 0))


def _best(scores: np.ndarray, said: Said) -> list[int]:
    """The word index, or -1, of each frame of the best path."""
    first, further = scores[:, 2 * said.units], scores[:, 2 * said.units + 1]
    own = np.arange(len(said.units))
    most = max(map(len, said.before))
    before = np.array([[*many, *[len(own)] * (most - len(many))] for many in said.before])
    now = np.full(len(own), NEVER)
    now[said.starts] = first[0, said.starts]
    came = np.zeros(first.shape, int)
    for at in range(1, len(scores)):
        reached = np.append(now, NEVER)[before]
        source = before[own, reached.argmax(1)]
        enter = reached.max(1) + first[at]
        stay = now + further[at]
        came[at] = np.where(enter > stay, source, own)
        now = np.maximum(enter, stay)
    state = max(said.ends, key=now.__getitem__)
    if now[state] < NEVER / 2:
        raise ValueError(f"{len(scores)} frames are too few for these words")
    path = [state]
    for at in range(len(scores) - 1, 0, -1):
        path.append(int(came[at, path[-1]]))
    return [int(said.words[one]) for one in reversed(path)]
