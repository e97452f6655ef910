"""Where words are in recordings, and what is cut out of them: digits of people, joined, so their places are known."""

from __future__ import annotations

import numpy as np
import pytest

from models.alignment import Aligner
from models.corpus import HERE, Clip
from models.export import between
from models.graph import read_lexicon
from models.kaldi import Affine, Component, Rectifier, affines, final_mdl
from models.whisper.pieces import KIND, MARGIN, as_times, pieces
from tests.ears.corpus import entries, sound

RATE = 16_000
DIGITS = ("seven", "two", "five", "zero")


@pytest.fixture(scope="module")
def aligner() -> Aligner:
    return Aligner(HERE / "bench-en")


@pytest.fixture(scope="module")
def prons() -> dict[str, tuple[tuple[str, ...], ...]]:
    found = read_lexicon(HERE / "bench-en" / "graph" / "lexicon.txt")
    return {word: tuple(map(tuple, found[word])) for word in DIGITS}


def joined() -> tuple[np.ndarray, list[int]]:
    """One recording of Speech Commands (Warden 2018) for each digit, one after another, and where each begins."""
    spoken = list(entries(lambda row: bool(row["source"] == "speech-commands")))
    some = []
    for word in DIGITS:
        some.append(sound(next(entry for entry in spoken if entry["text"] == word)))
    return np.concatenate(some), [0, *np.cumsum([len(one) for one in some]).tolist()]


def test_each_word_is_found_in_its_own_recording(
    aligner: Aligner, prons: dict[str, tuple[tuple[str, ...], ...]]
) -> None:
    samples, edges = joined()
    spans = aligner.spans(samples, DIGITS, prons)
    for (begin, end), first, last in zip(spans, edges[:-1], edges[1:], strict=True):
        assert first / RATE - 0.05 < begin < end < last / RATE + 0.05
        assert 0.1 < end - begin < 0.9


def test_too_short_a_recording_is_refused(
    aligner: Aligner, prons: dict[str, tuple[tuple[str, ...], ...]]
) -> None:
    with pytest.raises(ValueError, match="too few"):
        aligner.spans(np.zeros(RATE // 4, np.int16), DIGITS * 3, prons)


def test_weights_come_back_from_the_file() -> None:
    rng = np.random.default_rng(3)
    weights, bias = rng.normal(size=(3, 4)).astype(np.float32), rng.normal(size=3).astype(np.float32)
    last = rng.normal(size=(2, 3)).astype(np.float32)
    parts: list[Component] = [
        Affine("first", "input", weights, bias),
        Rectifier("first.relu", "first", 3),
        Affine("out", "first.relu", last, np.zeros(2)),
    ]
    found = affines(final_mdl(parts))
    assert list(found) == ["first", "out"]
    np.testing.assert_array_equal(found["first"][0], weights)
    np.testing.assert_array_equal(found["first"][1], bias)
    np.testing.assert_array_equal(found["out"][0], last)
    nearer = between(parts, {name: (0 * one, 0 * other) for name, (one, other) in found.items()}, 0.6)
    assert isinstance(nearer[0], Affine)
    np.testing.assert_allclose(nearer[0].weights, 0.6 * weights, rtol=1e-6)


def test_pieces_hold_the_words_they_say() -> None:
    """Each word of the clip is a tone of its own height, so that a piece shows which words are in it."""
    words, heights, seconds = ("one", "two", "three", "four"), (300, 500, 700, 900), 0.5
    at = np.arange(round(seconds * RATE)) / RATE
    tones = [np.round(8000 * np.sin(2 * np.pi * hertz * at)).astype(np.int16) for hertz in heights]
    quiet = np.zeros(round(0.3 * RATE), np.int16)
    spans = [(0.3 + 0.8 * number, 0.8 + 0.8 * number) for number in range(4)]
    whole = np.concatenate([*(part for tone in tones for part in (quiet, tone)), quiet])
    clip = Clip(words, "somebody", whole, as_times(words, spans))
    found = list(pieces([clip], seed=1))
    assert max(len(one.words) for one in found) > 2
    assert [one.words[0] for one in found if len(one.words) == 1][:4] == list(words)
    for one in found:
        assert one.voice == f"{KIND}:somebody"
        assert len(one.samples) >= len(one.words) * round((seconds + MARGIN) * RATE)
        power = np.abs(np.fft.rfft(one.samples))
        loudest = np.fft.rfftfreq(len(one.samples), 1 / RATE)
        heard = {
            word
            for word, hertz in zip(words, heights, strict=True)
            if power[np.abs(loudest - hertz) < 20].max() > power.max() / 20
        }
        assert heard == set(one.words)
