"""The trained network as plain Kaldi components, with batch normalization folded into the weights."""

from __future__ import annotations

import numpy as np
from torch import Tensor, nn

from models.alignment import BYPASS, SUBSAMPLING
from models.kaldi import Affine, Component, Rectifier, Sum
from models.network import Network


def components(network: Network) -> list[Component]:
    """The components in order of computation. The last one is the output."""
    scale, mean = _array(network.scale), _array(network.mean)
    weights = _array(network.first.weight) * np.tile(scale, 5)
    bias = _array(network.first.bias) - weights @ np.tile(mean, 5)
    width = network.shape.width
    done: list[Component] = [
        _normed("first", _append("input", (-2, -1, 0, 1, 2)), weights, bias, network.first_norm),
        Rectifier("first.relu", "first", width),
        _plain("second.low", _append("first.relu", (-1, 0, 1)), network.second),
        _normed("second", "second.low", *_parts(network.second_up), network.second_norm),
        Rectifier("second.relu", "second", width),
    ]
    before = "second.relu"
    for number, block in enumerate(network.blocks, 1):
        name = f"block{number}"
        done += [
            _plain(f"{name}.low", _append(before, (-SUBSAMPLING, 0)), block.down),
            _normed(name, _append(f"{name}.low", (0, SUBSAMPLING)), *_parts(block.up), block.norm),
            Rectifier(f"{name}.relu", name, width),
            Sum(f"{name}.sum", f"Sum(Scale({BYPASS}, {before}), {name}.relu)", width),
        ]
        before = f"{name}.sum"
    return [*done, _plain("out", before, network.out)]


def _append(source: str, offsets: tuple[int, ...]) -> str:
    return "Append(" + ", ".join(source if at == 0 else f"Offset({source}, {at})" for at in offsets) + ")"


def _plain(name: str, source: str, layer: nn.Linear) -> Affine:
    return Affine(name, source, *_parts(layer))


def _normed(name: str, source: str, weights: np.ndarray, bias: np.ndarray, norm: nn.BatchNorm1d) -> Affine:
    assert norm.running_mean is not None
    assert norm.running_var is not None
    scale = 1 / np.sqrt(_array(norm.running_var) + norm.eps)
    return Affine(name, source, weights * scale[:, None], (bias - _array(norm.running_mean)) * scale)


def _parts(layer: nn.Linear) -> tuple[np.ndarray, np.ndarray]:
    weights = _array(layer.weight)
    return weights, np.zeros(len(weights)) if layer.bias is None else _array(layer.bias)


def _array(tensor: Tensor) -> np.ndarray:
    values: np.ndarray = tensor.detach().cpu().double().numpy()
    return values
