"""What sounds next, sample by sample."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from bench.audio.mixer import FADE_S, Mixer
from tests.examples import examples

RATE = 1000
FADE = round(FADE_S * RATE)
Block = NDArray[np.int16]


def _steady(length: int, level: int = 1000) -> Block:
    return np.full(length, level, np.int16)


def _drain(mixer: Mixer, block: int = 7) -> Block:
    blocks = []
    while mixer.busy:
        blocks.append(mixer.next(block))
    return np.concatenate(blocks) if blocks else np.zeros(0, np.int16)


@settings(max_examples=examples(50), deadline=None)
@given(st.lists(st.integers(0, 60), min_size=1, max_size=6), st.integers(1, 50))
def test_pieces_of_a_turn_come_out_whole_and_in_order(lengths: list[int], block: int) -> None:
    mixer = Mixer(RATE)
    pieces = [np.arange(start, start + length, dtype=np.int16) for start, length in enumerate(lengths)]
    for number, piece in enumerate(pieces, 1):
        mixer.play(1, piece, last=number == len(pieces))
    sent = np.concatenate(pieces)
    heard = _drain(mixer, block)
    assert np.array_equal(heard[: len(sent)], sent)
    assert not heard[len(sent) :].any()
    assert mixer.finished() == [1]
    assert mixer.finished() == []


def test_a_turn_without_its_last_piece_waits_in_silence() -> None:
    mixer = Mixer(RATE)
    mixer.play(1, _steady(10), last=False)
    mixer.next(20)
    assert not mixer.next(20).any()
    assert mixer.busy
    assert mixer.finished() == []


def test_hush_fades_without_a_click_and_then_the_turn_is_finished() -> None:
    mixer = Mixer(RATE)
    mixer.play(1, _steady(1000), last=True)
    mixer.next(10)
    mixer.hush()
    assert mixer.finished() == []
    rest = _drain(mixer, 50)
    assert mixer.finished() == [1]
    assert np.abs(np.diff(rest[:FADE].astype(int))).max() <= 1000 / (FADE - 1) + 1
    assert not rest[FADE:].any()


def test_a_new_turn_replaces_the_old() -> None:
    mixer = Mixer(RATE)
    mixer.play(1, _steady(1000, 1000), last=True)
    mixer.next(10)
    mixer.play(2, _steady(100, 500), last=True)
    heard = _drain(mixer)
    assert mixer.finished() == [1, 2]
    assert np.array_equal(heard[FADE:100], _steady(100 - FADE, 500))


def test_hush_with_nothing_sounding_changes_nothing() -> None:
    mixer = Mixer(RATE)
    mixer.hush()
    assert not mixer.busy
    assert mixer.finished() == []


def test_a_tone_sounds_over_speech_and_loud_sums_are_limited_not_wrapped() -> None:
    mixer = Mixer(RATE)
    mixer.play(1, _steady(40, 30000), last=True)
    mixer.tone(_steady(20, 30000))
    heard = mixer.next(40)
    assert (heard[:20] == 32767).all()
    assert (heard[20:] == 30000).all()


def test_gain_is_reached_without_a_step() -> None:
    mixer = Mixer(RATE)
    mixer.play(1, _steady(200), last=True)
    mixer.gain = 0.5
    first, second = mixer.next(100).astype(int), mixer.next(100)
    assert np.abs(np.diff(first)).max() <= 1000 * 0.5 / 99 + 1
    assert second == pytest.approx(_steady(100, 500))
