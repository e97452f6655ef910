"""Beam search over a tree of allowed sentences, for measuring, with the decoder in NumPy.

The product has its own search (`bench/ears`). This simple one keeps a model's figures independent of it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np
from scipy.special import erf

from models.whisper.transcriber import END, PLAIN, START

Cache = tuple[np.ndarray, np.ndarray]


class Tree:
    """A prefix tree of sentences as tokens: the tokens that may follow each prefix and the sentence that ends there."""

    def __init__(self) -> None:
        self.next: list[dict[int, int]] = [{}]
        self.ends: dict[int, str] = {}

    def add(self, ids: Sequence[int], meaning: str) -> None:
        """Add a sentence. The likelihoods of sentences with the same meaning are added."""
        node = 0
        for one in ids:
            if one not in self.next[node]:
                self.next[node][one] = len(self.next)
                self.next.append({})
            node = self.next[node][one]
        self.ends[node] = meaning


class Decoder:
    """The decoder with the arrays of `weights.as_float`."""

    def __init__(self, arrays: Mapping[str, np.ndarray], heads: int = 6) -> None:
        self._arrays, self._heads = arrays, heads
        self._layers = sum(name.endswith("/attention/linear_0/weight") for name in arrays)
        self._embeddings = arrays["decoder/embeddings/weight"]

    def hear(self, heard: np.ndarray) -> list[Cache]:
        """Cross-attention keys and values [heads, time, width] of the sound for each layer."""
        found = []
        for number in range(self._layers):
            both = self._linear(heard, f"decoder/layer_{number}/attention/linear_1")
            key, value = np.split(both, 2, -1)
            found.append((self._parts(key), self._parts(value)))
        return found

    def step(
        self, tokens: np.ndarray, place: int, own: list[Cache], sound: list[Cache]
    ) -> tuple[np.ndarray, list[Cache]]:
        """Log-probabilities [batch, vocabulary] after one more token each, and the new cache."""
        x = self._embeddings[tokens] + self._arrays["decoder/position_encodings/encodings"][place]
        kept = []
        for number in range(self._layers):
            name = f"decoder/layer_{number}"
            query, key, value = np.split(
                self._linear(self._norm(x, f"{name}/self_attention"), f"{name}/self_attention/linear_0"),
                3,
                -1,
            )
            key, value = (one.reshape(len(x), self._heads, 1, -1) for one in (key, value))
            if own:
                key = np.concatenate([own[number][0], key], 2)
                value = np.concatenate([own[number][1], value], 2)
            kept.append((key, value))
            query = query.reshape(len(x), self._heads, 1, -1)
            mixed = _softmax(query @ key.swapaxes(2, 3) / math.sqrt(query.shape[-1])) @ value
            x = x + self._linear(mixed.reshape(len(x), -1), f"{name}/self_attention/linear_1")
            query = self._linear(self._norm(x, f"{name}/attention"), f"{name}/attention/linear_0")
            query = query.reshape(len(x), self._heads, -1).swapaxes(0, 1)
            key, value = sound[number]
            mixed = _softmax(query @ key.swapaxes(1, 2) / math.sqrt(query.shape[-1])) @ value
            x = x + self._linear(mixed.swapaxes(0, 1).reshape(len(x), -1), f"{name}/attention/linear_2")
            wide = self._linear(self._norm(x, f"{name}/ffn"), f"{name}/ffn/linear_0")
            x = x + self._linear(wide * 0.5 * (1 + erf(wide / math.sqrt(2))), f"{name}/ffn/linear_1")
        scores = self._norm(x, "decoder") @ self._embeddings.T
        scores -= scores.max(-1, keepdims=True)
        return scores - np.log(np.exp(scores).sum(-1, keepdims=True)), kept

    def _parts(self, x: np.ndarray) -> np.ndarray:
        return np.asarray(x.reshape(len(x), self._heads, -1).swapaxes(0, 1))

    def _linear(self, x: np.ndarray, name: str) -> np.ndarray:
        return np.asarray(x @ self._arrays[f"{name}/weight"].T + self._arrays[f"{name}/bias"])

    def _norm(self, x: np.ndarray, name: str) -> np.ndarray:
        x = x - x.mean(-1, keepdims=True)
        x = x / np.sqrt((x**2).mean(-1, keepdims=True) + 1e-5)
        gamma, beta = self._arrays[f"{name}/layer_norm/gamma"], self._arrays[f"{name}/layer_norm/beta"]
        return np.asarray(x * gamma + beta)


def search(decoder: Decoder, heard: np.ndarray, tree: Tree, width: int = 24) -> list[tuple[str, float]]:
    """Meanings and their log-likelihoods, best first. `heard` is [time, width]."""
    sound = decoder.hear(heard)
    own: list[Cache] = []
    for place, token in enumerate((START, PLAIN)):
        scores, own = decoder.step(np.array([token]), place, own, sound)
    alive, done, place = [(0.0, 0)], dict[str, float](), 2
    while alive:
        more = []
        for row, (score, node) in enumerate(alive):
            if node in tree.ends:
                meaning = tree.ends[node]
                done[meaning] = float(np.logaddexp(done.get(meaning, -1e9), score + scores[row][END]))
            more += [
                (score + scores[row][token], after, token, row) for token, after in tree.next[node].items()
            ]
        more = sorted(more, key=lambda one: -one[0])[:width]
        alive = [(score, node) for score, node, _, _ in more]
        if alive:
            rows = [row for _, _, _, row in more]
            own = [(key[rows], value[rows]) for key, value in own]
            scores, own = decoder.step(np.array([token for _, _, token, _ in more]), place, own, sound)
            place += 1
    return sorted(done.items(), key=lambda one: -one[1])


def _softmax(x: np.ndarray) -> np.ndarray:
    x = np.exp(x - x.max(-1, keepdims=True))
    return np.asarray(x / x.sum(-1, keepdims=True))
