"""Whisper tiny.en in PyTorch, with the arrays of `weights.as_float`: encoder, decoder, features."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import torch
import torch.nn.functional as F
from torch import Tensor, nn

from models.augment import WARPS
from models.whisper.transcriber import FLOOR, FRAME, SPAN, STEP, mel_bank

EMBEDDINGS = "decoder/embeddings/weight"
POSITIONS = "position_encodings"
"""Name parts of arrays that are not trained. The embeddings are not trained either."""


class Network(nn.Module):
    """Maps log-mel features and previous tokens to scores of the next tokens."""

    def __init__(self, arrays: Mapping[str, np.ndarray], heads: int = 6) -> None:
        super().__init__()
        self._heads = heads
        self._layers = sum(name.endswith("attention/linear_0/weight") for name in arrays if "encoder" in name)
        self.arrays = nn.ParameterDict(
            {
                _key(name): nn.Parameter(torch.tensor(array), requires_grad=trained(name))
                for name, array in arrays.items()
                if name != "decoder/projection/weight"
            }
        )

    def forward(self, mel: Tensor, tokens: Tensor) -> Tensor:
        """Scores [batch, tokens, vocabulary] for features [batch, bands, frames]."""
        return self.decode(tokens, self.encode(mel))

    def encode(self, mel: Tensor) -> Tensor:
        """The encoder output, [batch, frames / 2, width]."""
        x = F.gelu(F.conv1d(mel, self._at("encoder/conv1/weight"), self._at("encoder/conv1/bias"), padding=1))
        x = F.conv1d(x, self._at("encoder/conv2/weight"), self._at("encoder/conv2/bias"), stride=2, padding=1)
        x = F.gelu(x).transpose(1, 2)
        x = x + self._at("encoder/position_encodings/encodings")[: x.shape[1]]
        for number in range(self._layers):
            name = f"encoder/layer_{number}"
            x = x + self._own(x, f"{name}/self_attention", causal=False)
            x = x + self._wide(x, f"{name}/ffn")
        return self._norm(x, "encoder")

    def decode(self, tokens: Tensor, heard: Tensor) -> Tensor:
        """Scores of the next token at each position."""
        x = self._at(EMBEDDINGS)[tokens] + self._at("decoder/position_encodings/encodings")[: tokens.shape[1]]
        for number in range(self._layers):
            name = f"decoder/layer_{number}"
            x = x + self._own(x, f"{name}/self_attention", causal=True)
            x = x + self._cross(x, heard, f"{name}/attention")
            x = x + self._wide(x, f"{name}/ffn")
        return self._norm(x, "decoder") @ self._at(EMBEDDINGS).T

    def _at(self, name: str) -> Tensor:
        found: Tensor = self.arrays[_key(name)]
        return found

    def _norm(self, x: Tensor, name: str) -> Tensor:
        gamma, beta = self._at(f"{name}/layer_norm/gamma"), self._at(f"{name}/layer_norm/beta")
        return F.layer_norm(x, (x.shape[-1],), gamma, beta, 1e-5)

    def _linear(self, x: Tensor, name: str) -> Tensor:
        return F.linear(x, self._at(f"{name}/weight"), self._at(f"{name}/bias"))

    def _own(self, x: Tensor, name: str, causal: bool) -> Tensor:
        query, key, value = self._linear(self._norm(x, name), f"{name}/linear_0").chunk(3, -1)
        return self._linear(self._attend(query, key, value, causal), f"{name}/linear_1")

    def _cross(self, x: Tensor, heard: Tensor, name: str) -> Tensor:
        query = self._linear(self._norm(x, name), f"{name}/linear_0")
        key, value = self._linear(heard, f"{name}/linear_1").chunk(2, -1)
        return self._linear(self._attend(query, key, value, False), f"{name}/linear_2")

    def _wide(self, x: Tensor, name: str) -> Tensor:
        return self._linear(F.gelu(self._linear(self._norm(x, name), f"{name}/linear_0")), f"{name}/linear_1")

    def _attend(self, query: Tensor, key: Tensor, value: Tensor, causal: bool) -> Tensor:
        def parts(x: Tensor) -> Tensor:
            return x.view(*x.shape[:2], self._heads, -1).transpose(1, 2)

        mixed = F.scaled_dot_product_attention(parts(query), parts(key), parts(value), is_causal=causal)
        return mixed.transpose(1, 2).flatten(2)


class LogMel(nn.Module):
    """`transcriber.features` for batches, with a vocal tract length per clip (an index into `augment.WARPS`)."""

    banks: Tensor
    plain: Tensor
    window: Tensor

    def __init__(self) -> None:
        super().__init__()
        self.register_buffer("banks", torch.tensor(np.stack([mel_bank(float(warp)) for warp in WARPS])))
        self.register_buffer("plain", torch.tensor(mel_bank())[None])
        self.register_buffer("window", torch.hann_window(FRAME))

    def forward(self, samples: Tensor, warp: Tensor | None = None) -> Tensor:
        """Features [batch, bands, frames] of samples in int16 scale."""
        spectrum = torch.stft(
            samples / 32768,
            FRAME,
            STEP,
            window=self.window,
            center=True,
            pad_mode="reflect",
            return_complex=True,
        )
        power = spectrum[..., :-1].abs().square()
        mel = torch.log10(((self.plain if warp is None else self.banks[warp]) @ power).clamp(min=FLOOR))
        mel = torch.maximum(mel, mel.amax((1, 2), keepdim=True) - SPAN)
        return (mel + 4) / 4


def trained(name: str) -> bool:
    """Whether training changes this array."""
    return name != EMBEDDINGS and POSITIONS not in name


def arrays_of(state: Mapping[str, Tensor]) -> dict[str, np.ndarray]:
    """The trained arrays by their names in `model.bin`, from parameters by name."""
    plain = {key.removeprefix("arrays.").replace("|", "/"): value for key, value in state.items()}
    return {name: value.detach().float().cpu().numpy() for name, value in plain.items() if trained(name)}


def _key(name: str) -> str:
    return name.replace("/", "|")
