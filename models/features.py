"""Kaldi's MFCC features, as constant tables: 40 coefficients, 25 ms frames every 10 ms, no dither, no energy.

Source: Kaldi's `compute-mfcc-feats` (feature-window.cc, mel-computations.cc, feature-mfcc.cc). The tests compare with
kaldi-native-fbank, which contains that code. Samples are in int16 scale. `mfcc` is the NumPy version; training uses the
same tables on the accelerator.
"""

from __future__ import annotations

import numpy as np

RATE, FRAME, STEP, FFT = 16_000, 400, 160, 512
COEFFICIENTS = 40
LOW, HIGH = 20.0, 7600.0
PRE_EMPHASIS = 0.97
LIFTER = 22.0
FLOOR = float(np.finfo(np.float32).eps)

CONF = f"""--use-energy=false
--num-mel-bins={COEFFICIENTS}
--num-ceps={COEFFICIENTS}
--low-freq={LOW:g}
--high-freq={HIGH:g}
--dither=0
--allow-upsample=true
--allow-downsample=true
"""
"""The same settings as Kaldi's `mfcc.conf`."""


def window() -> np.ndarray:
    """Povey's window: a Hann window to the power 0.85."""
    return (0.5 - 0.5 * np.cos(2 * np.pi * np.arange(FRAME) / (FRAME - 1))) ** 0.85


def mel(hertz: np.ndarray) -> np.ndarray:
    """Mel scale (O'Shaughnessy 1987) as HTK and Kaldi write it."""
    return 1127.0 * np.log(1.0 + hertz / 700.0)


def mel_bank(warp: float = 1.0) -> np.ndarray:
    """Triangular filters, [FFT // 2 + 1, COEFFICIENTS]. `warp` above 1 lowers the spectrum (longer vocal tract)."""
    edges = np.linspace(mel(np.array(LOW)), mel(np.array(HIGH)), COEFFICIENTS + 2)
    left, center, right = edges[:-2], edges[1:-1], edges[2:]
    hertz = np.arange(FFT // 2 + 1) * RATE / FFT
    at = mel(np.minimum(hertz * warp, RATE / 2))[:, None]
    bank: np.ndarray = np.minimum((at - left) / (center - left), (right - at) / (right - center)).clip(0)
    bank[-1] = 0  # Kaldi omits the Nyquist bin.
    return bank


def cosines() -> np.ndarray:
    """The orthonormal discrete cosine transform with liftering, [COEFFICIENTS mel, COEFFICIENTS out]."""
    size = COEFFICIENTS
    order, at = np.arange(size)[None, :], np.arange(size)[:, None]
    table: np.ndarray = np.sqrt(2 / size) * np.cos(np.pi / size * (at + 0.5) * order)
    table[:, 0] = np.sqrt(1 / size)
    lifter: np.ndarray = 1 + 0.5 * LIFTER * np.sin(np.pi * np.arange(size) / LIFTER)
    lifted: np.ndarray = table * lifter[None, :]
    return lifted


def mfcc(samples: np.ndarray) -> np.ndarray:
    """MFCC features, [frames, COEFFICIENTS], of int16-scaled samples."""
    count = max(0, 1 + (len(samples) - FRAME) // STEP)
    at = np.arange(count)[:, None] * STEP + np.arange(FRAME)[None, :]
    frames = samples.astype(np.float64)[at]
    frames -= frames.mean(1, keepdims=True)
    before = np.concatenate([frames[:, :1], frames[:, :-1]], 1)
    frames = (frames - PRE_EMPHASIS * before) * window()
    power = np.abs(np.fft.rfft(frames, FFT)) ** 2
    found: np.ndarray = np.log(np.maximum(power @ mel_bank(), FLOOR)) @ cosines()
    return found
