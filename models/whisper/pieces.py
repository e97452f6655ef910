"""New utterances out of those of recorded people, who are few: single words, parts, and words joined anew.

A word cut out of a sentence is shorter and less clear than one said alone, as people say them in a hurry.
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
"""Seconds before and after a word that are cut out with it at most, and half of the way to its neighbor at most."""
FADE = 80
"""Samples over which a piece begins and ends."""
LONGEST = 10
"""Words joined at most."""

Spans = Sequence[tuple[float, float]]


def as_times(words: Sequence[str], spans: Spans) -> tuple[tuple[str, float], ...]:
    """The spans of words as `Clip.times`: before each word the end of the silence before it."""
    pairs = zip(words, spans, strict=True)
    return tuple(one for word, (begin, end) in pairs for one in ((SILENCE, begin), (word, end)))


def pieces(clips: Sequence[Clip], seed: int) -> Iterator[Clip]:
    """Every word of the clips whose times are known, and for each clip a part of it and two joined ones."""
    rng = Random(seed)
    words: dict[str, list[Clip]] = defaultdict(list)
    for clip in clips:
        count = len(clip.words)
        words[clip.voice] += [_part(clip, at, at + 1) for at in range(count)]
        if count > 2:
            first = rng.randrange(count - 1)
            yield _part(clip, first, rng.randint(first + 2, count))
    for voice, some in words.items():
        # Letters are told apart by what stands beside them, if at all.
        yield from (one for one in some if len(one.words[0]) > 1)
        for _ in range(2 * len(some) // 3):
            chosen = [rng.choice(some) for _ in range(rng.randint(2, LONGEST))]
            said = tuple(one.words[0] for one in chosen)
            yield Clip(said, f"{KIND}:{voice}", np.concatenate(list(_joined(chosen, rng))))


def _part(clip: Clip, first: int, last: int) -> Clip:
    """The words from `first` to before `last`."""
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
    """Sounds one after another, mostly close together, all about as loud."""
    pause = rng.choice((0.0, 0.0, 0.05, 0.2))
    for clip in chosen:
        loud = float(np.sqrt(np.mean(clip.samples.astype(np.float64) ** 2))) + 1.0
        scaled = clip.samples * min(1500 / loud, 32_000 / (np.abs(clip.samples.astype(np.int32)).max() + 1))
        yield np.round(scaled).astype(np.int16)
        yield np.zeros(round(rng.uniform(0, 2) * pause * RATE), np.int16)
