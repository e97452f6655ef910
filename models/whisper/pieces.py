"""New utterances from the few recorded people: single words, parts, and recombined words.

A word cut from a sentence is shorter and less clear than an isolated one, like hurried speech.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from random import Random

import numpy as np

from models.corpus import Clip
from models.units import SILENCE

RATE = 16_000
KIND = "pieces"
MARGIN = 0.12
"""Most seconds kept before and after a word, limited to half the gap to its neighbor."""
FADE = 80
"""Samples of fade-in and fade-out of a segment."""
LONGEST = 10
"""Most words joined."""

Spans = Sequence[tuple[float, float]]


def as_times(words: Sequence[str], spans: Spans) -> tuple[tuple[str, float], ...]:
    """The word spans as `Clip.times`, with the end of the silence before each word."""
    pairs = zip(words, spans, strict=True)
    return tuple(one for word, (begin, end) in pairs for one in ((SILENCE, begin), (word, end)))


def pieces(clips: Sequence[Clip], seed: int) -> Iterator[Clip]:
    """All words of the clips with known times, and for each clip a part of it and two recombinations."""
    rng = Random(seed)
    words: dict[str, list[Clip]] = defaultdict(list)
    for clip in clips:
        count = len(clip.words)
        words[clip.voice] += [_part(clip, at, at + 1) for at in range(count)]
        if count > 2:
            first = rng.randrange(count - 1)
            yield _part(clip, first, rng.randint(first + 2, count))
    for voice, some in words.items():
        # Single letters are hard to recognize without context.
        yield from (one for one in some if len(one.words[0]) > 1)
        for _ in range(2 * len(some) // 3):
            chosen = [rng.choice(some) for _ in range(rng.randint(2, LONGEST))]
            said = tuple(one.words[0] for one in chosen)
            yield Clip(said, f"{KIND}:{voice}", np.concatenate(list(_joined(chosen, rng))))


def _part(clip: Clip, first: int, last: int) -> Clip:
    """The words from `first` up to, not including, `last`."""
    begins = [end for _, end in clip.times[::2]]
    ends = [end for _, end in clip.times[1::2]]
    before = ends[first - 1] if first else 0.0
    after = begins[last] if last < len(begins) else len(clip.samples) / RATE
    begin = begins[first] - min(MARGIN, (begins[first] - before) / 2 if first else MARGIN)
    end = ends[last - 1] + min(MARGIN, (after - ends[last - 1]) / 2 if last < len(begins) else MARGIN)
    samples = clip.samples[max(0, round(begin * RATE)) : round(end * RATE)].astype(np.float64)
    ramp = np.linspace(0, 1, min(FADE, len(samples) // 2))
    samples[: len(ramp)] *= ramp
    samples[len(samples) - len(ramp) :] *= ramp[::-1]
    return Clip(clip.words[first:last], f"{KIND}:{clip.voice}", np.round(samples).astype(np.int16))


def _joined(chosen: Sequence[Clip], rng: Random) -> Iterator[np.ndarray]:
    """The sounds in sequence, usually with short gaps, at similar levels."""
    pause = rng.choice((0.0, 0.0, 0.05, 0.2))
    for clip in chosen:
        loud = float(np.sqrt(np.mean(clip.samples.astype(np.float64) ** 2))) + 1.0
        scaled = clip.samples * min(1500 / loud, 32_000 / (np.abs(clip.samples.astype(np.int32)).max() + 1))
        yield np.round(scaled).astype(np.int16)
        yield np.zeros(round(rng.uniform(0, 2) * pause * RATE), np.int16)
