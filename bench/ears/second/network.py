"""The network of a small Whisper model (Radford et al. 2022) in NumPy: sound to features, tokens to what comes next.

Written out because the search along a grammar needs every step of the decoder, and a window as short as the
utterance; no library at hand offers both. `tests/ears/test_second_network.py` compares it with CTranslate2.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from bench.audio.samples import Samples
from bench.ears.second.mel import Floats, log_mel
from bench.ears.second.weights import Weights

Pair: TypeAlias = tuple[Floats, Floats]
"""Keys and values of one layer."""

_EPSILON = 1e-5
_FREQUENT = 8192
"""Tokens of open speech that compete: ids are by frequency, and any word can be spelled with these."""
END = 50_256
BEGIN = (50_257, 50_362)
"""Tokens of an English-only model: the end of the text; its start, and that no times are wanted."""


@dataclass(frozen=True, slots=True)
class _Linear:
    weight: Floats
    bias: Floats

    def __call__(self, x: Floats) -> Floats:
        out: Floats = x @ self.weight
        out += self.bias
        return out


@dataclass(frozen=True, slots=True)
class _Norm:
    gamma: Floats
    beta: Floats

    def __call__(self, x: Floats) -> Floats:
        centered = x - x.mean(-1, keepdims=True)
        spread = np.sqrt((centered * centered).mean(-1, keepdims=True) + _EPSILON)
        out: Floats = centered / spread * self.gamma + self.beta
        return out


@dataclass(frozen=True, slots=True)
class _Attention:
    norm: _Norm
    layers: tuple[_Linear, ...]


@dataclass(frozen=True, slots=True)
class _Block:
    attention: _Attention
    cross: _Attention | None
    forward: _Attention


class Network:
    """The model in `folder`. `listed` are the tokens that can come next, in the order of what `step` returns.

    Raises BenchError when the weights are damaged.
    """

    def __init__(self, folder: Path) -> None:
        weights = Weights(folder / "model.bin")
        self._weights = weights
        self._convolutions = [_convolution(weights, f"encoder/conv{number}") for number in (1, 2)]
        self._encoder = _blocks(weights, "encoder")
        self._decoder = _blocks(weights, "decoder")
        self._encoder_norm = _norm(weights, "encoder/layer_norm")
        self._decoder_norm = _norm(weights, "decoder/layer_norm")
        self._heads = weights.number("encoder/num_heads")
        self._positions = weights.floats("decoder/position_encodings/encodings")
        self.listed: NDArray[np.int64] = np.arange(_FREQUENT)
        self._columns = {token: token for token in range(_FREQUENT)}
        self._projection = weights.floats("decoder/projection/weight", self.listed)
        self.list_tokens([END])

    def list_tokens(self, tokens: Sequence[int]) -> None:
        """From now on these compete as well."""
        fresh = [token for token in dict.fromkeys(tokens) if token not in self._columns]
        if fresh:
            self._columns.update((token, len(self.listed) + at) for at, token in enumerate(fresh))
            self.listed = np.concatenate([self.listed, np.array(fresh)])
            more = self._weights.floats("decoder/projection/weight", np.array(fresh))
            self._projection = np.concatenate([self._projection, more])

    def column(self, token: int) -> int:
        """Where a listed token stands."""
        return self._columns[token]

    def encode(self, sound: Samples) -> list[Pair]:
        """What the decoder attends to: keys and values of each of its layers."""
        x = log_mel(sound)
        for number, layer in enumerate(self._convolutions, 1):
            x = _gelu(layer(_taps(x, number)))
        x += _sinusoids(*x.shape)
        for block in self._encoder:
            x += self._self_attended(block.attention, x)
            x += _forward(block.forward, x)
        x = self._encoder_norm(x)
        return [self._keys_values(block, x) for block in self._decoder]

    def step(
        self, tokens: Sequence[int], at: int, past: list[Pair], sound: list[Pair]
    ) -> tuple[Floats, list[Pair]]:
        """One token more for each of several texts: log probability of each listed token to follow, and the new past.

        `at` is the number of tokens before; `past` is empty at the start.
        """
        rows = np.array(tokens)
        x = self._weights.floats("decoder/embeddings/weight", rows) + self._positions[at]
        now: list[Pair] = []
        for number, (block, heard) in enumerate(zip(self._decoder, sound, strict=True)):
            q, k, v = np.split(block.attention.layers[0](block.attention.norm(x)), 3, -1)
            k, v = (self._split(one)[:, :, None] for one in (k, v))
            if past:
                k = np.concatenate([past[number][0], k], 2)
                v = np.concatenate([past[number][1], v], 2)
            now.append((k, v))
            x = x + block.attention.layers[1](self._attend(self._split(q), k, v))
            assert block.cross is not None
            q = self._split(block.cross.layers[0](block.cross.norm(x)))
            x = x + block.cross.layers[2](self._attend_shared(q, *heard))
            x += _forward(block.forward, x)
        logits = self._decoder_norm(x) @ self._projection.T
        return _log_softmax(logits), now

    def _split(self, x: Floats) -> Floats:
        return x.reshape(len(x), self._heads, -1)

    def _attend(self, q: Floats, k: Floats, v: Floats) -> Floats:
        """Each text attends to its own past: q (texts, heads, size), k and v (texts, heads, tokens, size)."""
        share = _softmax((k @ q[..., None])[..., 0] / np.sqrt(q.shape[-1], dtype=np.float32))
        out: Floats = (share[:, :, None] @ v)[:, :, 0].reshape(len(q), -1)
        return out

    def _attend_shared(self, q: Floats, k: Floats, v: Floats) -> Floats:
        """Everything attends to one sound: q (texts, heads, size), k (heads, size, frames), v (heads, frames, size)."""
        share = _softmax(q.transpose(1, 0, 2) @ k / np.sqrt(q.shape[-1], dtype=np.float32))
        out: Floats = (share @ v).transpose(1, 0, 2).reshape(len(q), -1)
        return out

    def _self_attended(self, attention: _Attention, x: Floats) -> Floats:
        q, k, v = (self._split(one) for one in np.split(attention.layers[0](attention.norm(x)), 3, -1))
        return attention.layers[1](self._attend_shared(q, k.transpose(1, 2, 0), v.transpose(1, 0, 2)))

    def _keys_values(self, block: _Block, x: Floats) -> Pair:
        assert block.cross is not None
        k, v = (self._split(one) for one in np.split(block.cross.layers[1](x), 2, -1))
        return np.ascontiguousarray(k.transpose(1, 2, 0)), np.ascontiguousarray(v.transpose(1, 0, 2))


def _forward(layer: _Attention, x: Floats) -> Floats:
    return layer.layers[1](_gelu(layer.layers[0](layer.norm(x))))


def _gelu(x: Floats) -> Floats:
    """The approximation of Hendrycks and Gimpel (2016), within 0.001 of the exact value."""
    inner = x * x
    inner *= np.float32(0.044715 * 0.7978845608)
    inner += np.float32(0.7978845608)
    inner *= x
    np.tanh(inner, out=inner)
    inner += 1
    inner *= x
    inner *= np.float32(0.5)
    out: Floats = inner
    return out


def _softmax(x: Floats) -> Floats:
    powers: Floats = np.exp(x - x.max(-1, keepdims=True))
    powers /= powers.sum(-1, keepdims=True)
    return powers


def _log_softmax(x: Floats) -> Floats:
    x -= x.max(-1, keepdims=True)
    x -= np.log(np.exp(x).sum(-1, keepdims=True))
    return x


def _taps(x: Floats, stride: int) -> Floats:
    """Each frame beside the one before and the one after it: a convolution of width three as one product."""
    padded = np.pad(x, ((1, 1), (0, 0)))
    beside = np.concatenate([padded[:-2], padded[1:-1], padded[2:]], axis=1)
    return beside[::stride]


def _sinusoids(length: int, size: int) -> Floats:
    """Positions as in Vaswani et al. (2017), sines first."""
    rates = np.exp(-np.log(10_000) / (size // 2 - 1) * np.arange(size // 2))
    angles = np.arange(length)[:, None] * rates[None]
    out: Floats = np.concatenate([np.sin(angles), np.cos(angles)], axis=1).astype(np.float32)
    return out


def _convolution(weights: Weights, name: str) -> _Linear:
    kernel = weights.floats(f"{name}/weight")
    return _Linear(
        np.ascontiguousarray(kernel.transpose(2, 1, 0).reshape(-1, len(kernel))),
        weights.floats(f"{name}/bias"),
    )


def _norm(weights: Weights, name: str) -> _Norm:
    return _Norm(weights.floats(f"{name}/gamma"), weights.floats(f"{name}/beta"))


def _attention(weights: Weights, name: str) -> _Attention:
    layers: list[_Linear] = []
    while f"{name}/linear_{len(layers)}/weight" in weights:
        one = f"{name}/linear_{len(layers)}"
        layers.append(
            _Linear(np.ascontiguousarray(weights.floats(f"{one}/weight").T), weights.floats(f"{one}/bias"))
        )
    return _Attention(_norm(weights, f"{name}/layer_norm"), tuple(layers))


def _blocks(weights: Weights, side: str) -> list[_Block]:
    blocks: list[_Block] = []
    while f"{side}/layer_{len(blocks)}/ffn/linear_0/weight" in weights:
        name = f"{side}/layer_{len(blocks)}"
        cross = _attention(weights, f"{name}/attention") if side == "decoder" else None
        blocks.append(
            _Block(_attention(weights, f"{name}/self_attention"), cross, _attention(weights, f"{name}/ffn"))
        )
    return blocks
