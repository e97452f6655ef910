"""Whisper's features and the model in CTranslate2: free transcription and likelihoods of given sentences."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from pathlib import Path

import numpy as np

RATE, FRAME, STEP, BANDS = 16_000, 400, 160, 80
"""Samples per second, per frame, and between frames; mel bands."""
START, PLAIN, END = 50_257, 50_362, 50_256
"""Tokens: start of transcript, no timestamps, end of text."""
FLOOR, SPAN = 1e-10, 8.0
"""Minimum power, and dynamic range in decades below the maximum."""


@cache
def mel_bank(warp: float = 1.0) -> np.ndarray:
    """Triangular filters [BANDS, FRAME // 2 + 1] on Slaney's mel scale, area 1. `warp` above 1: longer vocal tract."""
    edges = _hertz(np.linspace(_mel(0.0), _mel(RATE / 2), BANDS + 2))
    hertz = np.fft.rfftfreq(FRAME, 1 / RATE)
    bent = np.where(hertz < 6000, hertz * warp, 6000 * warp + (hertz - 6000) * (8000 - 6000 * warp) / 2000)
    ramps, gaps = edges[:, None] - bent[None], np.diff(edges)
    bank = np.maximum(0, np.minimum(-ramps[:-2] / gaps[:-1, None], ramps[2:] / gaps[1:, None]))
    return np.asarray(bank * (2 / (edges[2:] - edges[:-2]))[:, None], np.float32)


def _mel(hertz: float) -> float:
    return 15 + float(np.log(hertz / 1000)) / (np.log(6.4) / 27) if hertz >= 1000 else 3 * hertz / 200


def _hertz(mel: np.ndarray) -> np.ndarray:
    return np.where(mel >= 15, 1000 * np.exp((np.log(6.4) / 27) * (mel - 15)), 200 * mel / 3)


def features(samples: np.ndarray, frames: int) -> np.ndarray:
    """Log-mel features [1, BANDS, frames] of int16 samples, padded with silence as in Whisper's training."""
    length = frames * STEP
    sound = np.zeros(length, np.float32)
    kept = samples[:length].astype(np.float32) / 32768
    sound[: len(kept)] = kept
    padded = np.pad(sound, FRAME // 2, mode="reflect")
    cut = np.lib.stride_tricks.sliding_window_view(padded, FRAME)[::STEP][:frames]
    window = np.hanning(FRAME + 1)[:-1].astype(np.float32)
    power = np.abs(np.fft.rfft(cut * window, axis=1)) ** 2
    mel = np.log10(np.maximum(power @ mel_bank().T, FLOOR))
    mel = (np.maximum(mel, mel.max() - SPAN) + 4) / 4
    return np.ascontiguousarray(mel.T[None].astype(np.float32))


class Transcriber:
    """A loaded model directory."""

    def __init__(self, folder: Path, threads: int = 2) -> None:
        import ctranslate2
        import tokenizers

        self._view = ctranslate2.StorageView.from_array
        self.tokens = tokenizers.Tokenizer.from_file(str(folder / "tokenizer.json"))
        self._model = ctranslate2.models.Whisper(
            str(folder), device="cpu", compute_type="int8", intra_threads=threads
        )

    def ids(self, text: str) -> list[int]:
        """The tokens of a text."""
        found: list[int] = self.tokens.encode(text, add_special_tokens=False).ids
        return found

    def encode(self, samples: np.ndarray, least: int = 200) -> np.ndarray:
        """The encoder output [1, time, width], in a window of the sound's length, at least 2 s."""
        frames = min(3000, max(least, -(-len(samples) // STEP) + 30))
        view = self._view(features(samples, frames + frames % 2))
        return np.asarray(self._model.encode(view, to_cpu=True))

    def read(self, heard: np.ndarray, width: int = 5) -> tuple[str, float]:
        """The free transcript and its log-likelihood, including the end token."""
        view = self._view(np.ascontiguousarray(heard))
        found = self._model.generate(
            view, [[START, PLAIN]], beam_size=width, max_length=60, return_scores=True, length_penalty=0.0
        )[0]
        text: str = self.tokens.decode(found.sequences_ids[0])
        return text, float(found.scores[0])

    def scores(self, heard: np.ndarray, texts: Sequence[str]) -> np.ndarray:
        """The log-likelihood of each text, without the end token."""
        ids = [self.ids(text) for text in texts]
        copies = self._view(np.ascontiguousarray(np.repeat(heard, len(ids), 0)))
        aligned = self._model.align(copies, [START, PLAIN], ids, [2 * heard.shape[1]] * len(ids))
        return np.array([np.sum(np.log(np.maximum(one.text_token_probs, 1e-12))) for one in aligned])
