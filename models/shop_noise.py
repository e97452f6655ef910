"""Synthetic shop noises, because there are few recorded ones.

Saws and drills (a whine with harmonics that drops under load), hammering (ringing metal), compressors (thumps), fans
and air (colored noise), rattle, and a radio (chords). None is a recording. All randomness comes from the seed.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

RATE = 16_000
SECONDS = 8


def made(count: int, seed: int) -> list[np.ndarray]:
    """`count` noises of eight seconds with RMS 1."""
    rng = np.random.default_rng(seed)
    makers: tuple[Callable[[np.random.Generator], np.ndarray], ...] = (
        _whine,
        _hammer,
        _thump,
        _air,
        _rattle,
        _radio,
    )
    found = []
    for number in range(count):
        sound = makers[number % len(makers)](rng)
        if rng.random() < 0.4:
            sound = sound / _loudness(sound) + rng.uniform(0.1, 0.8) * _air(rng)
        found.append((sound / _loudness(sound)).astype(np.float32))
    return found


def _loudness(sound: np.ndarray) -> float:
    return float(np.sqrt(np.mean(sound**2))) + 1e-9


def _time() -> np.ndarray:
    return np.arange(SECONDS * RATE) / RATE


def _slow(rng: np.random.Generator, hertz: float) -> np.ndarray:
    """A smooth random curve between -1 and 1 that changes at a rate of `hertz`."""
    points = rng.uniform(-1, 1, max(2, int(SECONDS * hertz) + 2))
    return np.interp(np.linspace(0, len(points) - 1, SECONDS * RATE), np.arange(len(points)), points)


def _air(rng: np.random.Generator) -> np.ndarray:
    """Colored noise with a broad peak."""
    spectrum = np.fft.rfft(rng.standard_normal(SECONDS * RATE))
    hertz = np.fft.rfftfreq(SECONDS * RATE, 1 / RATE) + 20
    middle, width = np.exp(rng.uniform(np.log(150), np.log(6000))), rng.uniform(0.3, 1.5)
    shape = hertz ** -rng.uniform(0, 1.1)
    bump = 1 + rng.uniform(0, 8) * np.exp(-((np.log2(hertz / middle) / width) ** 2))
    sound = np.fft.irfft(spectrum * shape * bump, SECONDS * RATE)
    gusts = 1 + rng.uniform(0, 0.6) * _slow(rng, rng.uniform(0.5, 8))
    return np.asarray(sound / _loudness(sound) * gusts)


def _whine(rng: np.random.Generator) -> np.ndarray:
    """A motor with a blade or bit: harmonics of a varying pitch and an intermittent cut."""
    base = np.exp(rng.uniform(np.log(60), np.log(900)))
    load = np.clip(_slow(rng, rng.uniform(0.3, 2)), 0, 1)
    phase = (
        2 * np.pi * np.cumsum(base * (1 - rng.uniform(0, 0.35) * load) * (1 + 0.01 * _slow(rng, 20))) / RATE
    )
    sound = np.zeros(SECONDS * RATE)
    for order in range(1, rng.integers(5, 30)):
        if base * order < 7600:
            sound += (
                rng.uniform(0.2, 1)
                / order ** rng.uniform(0.3, 1.2)
                * np.sin(order * phase + rng.uniform(0, 6.28))
            )
    cut = _air(rng) * load
    made: np.ndarray = sound / _loudness(sound) + rng.uniform(0.3, 2) * cut
    return made


def _blow(rng: np.random.Generator) -> np.ndarray:
    """One hit on metal or wood: a few decaying tones and a click."""
    size = int(rng.uniform(0.05, 0.6) * RATE)
    time = np.arange(size) / RATE
    sound = rng.standard_normal(size) * np.exp(-time / rng.uniform(0.002, 0.02))
    for _ in range(rng.integers(1, 8)):
        tone = np.exp(rng.uniform(np.log(120), np.log(6500)))
        sound += (
            rng.uniform(0.1, 1) * np.sin(2 * np.pi * tone * time) * np.exp(-time / rng.uniform(0.01, 0.2))
        )
    return sound


def _hammer(rng: np.random.Generator) -> np.ndarray:
    """Hammer blows at a manual, slightly irregular pace."""
    sound, at = np.zeros(SECONDS * RATE), rng.uniform(0, 1)
    pace, blow = rng.uniform(0.12, 1.2), _blow(rng)
    while at < SECONDS:
        begin = int(at * RATE)
        hit = (blow if rng.random() < 0.7 else _blow(rng))[: len(sound) - begin]
        sound[begin : begin + len(hit)] += hit * rng.uniform(0.4, 1)
        at += pace * rng.uniform(0.7, 1.4)
    return sound + 0.01 * rng.standard_normal(len(sound))


def _thump(rng: np.random.Generator) -> np.ndarray:
    """A compressor or engine: low pulses with valve noise."""
    rate = rng.uniform(6, 35)
    beat = np.maximum(0, np.sin(2 * np.pi * rate * _time())) ** rng.uniform(2, 12)
    low = np.sin(2 * np.pi * rng.uniform(40, 140) * _time())
    return beat * (low + rng.uniform(0.2, 1) * _air(rng)) + 0.1 * _air(rng)


def _rattle(rng: np.random.Generator) -> np.ndarray:
    """Many small hits: pipes rolling, screws in a box, a ratchet."""
    sound = np.zeros(SECONDS * RATE)
    for begin in rng.integers(0, len(sound) - RATE, rng.integers(30, 200)):
        hit = _blow(rng)[: int(rng.uniform(0.01, 0.08) * RATE)]
        sound[begin : begin + len(hit)] += hit * rng.uniform(0.05, 1) ** 2
    return sound + 0.005 * rng.standard_normal(len(sound))


def _radio(rng: np.random.Generator) -> np.ndarray:
    """Chords and a beat through a small loudspeaker."""
    sound, step = np.zeros(SECONDS * RATE), int(rng.uniform(0.2, 0.6) * RATE)
    for begin in range(0, len(sound), step):
        size = min(step, len(sound) - begin)
        time = np.arange(size) / RATE
        for _ in range(rng.integers(1, 5)):
            tone = 110 * 2 ** (rng.integers(0, 36) / 12)
            for order in range(1, 6):
                sound[begin : begin + size] += (
                    np.sin(2 * np.pi * tone * order * time) / order * np.exp(-time * 3)
                )
        if rng.random() < 0.5:
            sound[begin : begin + size] += rng.standard_normal(size) * np.exp(-time * 40) * 2
    return sound
