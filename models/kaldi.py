"""Writes Kaldi's binary `final.mdl`: a one-state chain transition model and an nnet3 network.

Formats: Kaldi's io-funcs-inl.h, kaldi-matrix.cc, hmm-topology.cc, transition-model.cc, nnet-nnet.cc,
nnet-simple-component.cc and am-nnet-simple.cc.
"""

from __future__ import annotations

import re
import struct
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from models.units import KALDI_PHONES, first_class, further_class, unit_of


@dataclass(frozen=True)
class Affine:
    """`weights` [out, in] and `bias`; `source` is a descriptor of nnet3, such as "Append(input, a.relu)"."""

    name: str
    source: str
    weights: np.ndarray
    bias: np.ndarray


@dataclass(frozen=True)
class Rectifier:
    """Rectified linear units applied to another component's output."""

    name: str
    source: str
    size: int


@dataclass(frozen=True)
class Sum:
    """Passes on the sum given by its descriptor."""

    name: str
    source: str
    size: int


Component = Affine | Rectifier | Sum


class _Writer:
    def __init__(self) -> None:
        self._parts = [b"\0B"]

    def token(self, *names: str) -> None:
        self._parts += [name.encode() + b" " for name in names]

    def text(self, text: str) -> None:
        self._parts.append(text.encode())

    def whole(self, *numbers: int) -> None:
        self._parts += [b"\x04" + struct.pack("<i", number) for number in numbers]

    def real(self, number: float) -> None:
        self._parts.append(b"\x04" + struct.pack("<f", number))

    def double(self, number: float) -> None:
        self._parts.append(b"\x08" + struct.pack("<d", number))

    def wholes(self, numbers: Sequence[int]) -> None:
        self._parts.append(b"\x04" + struct.pack("<i", len(numbers)) + np.asarray(numbers, "<i4").tobytes())

    def vector(self, numbers: np.ndarray) -> None:
        self.token("FV")
        self.whole(len(numbers))
        self._parts.append(np.asarray(numbers, "<f4").tobytes())

    def matrix(self, numbers: np.ndarray) -> None:
        self.token("FM")
        self.whole(*numbers.shape)
        self._parts.append(np.ascontiguousarray(numbers, "<f4").tobytes())

    def bytes(self) -> bytes:
        return b"".join(self._parts)


def final_mdl(components: Sequence[Component]) -> bytes:
    """The content of the file. The last component is the output."""
    out = _Writer()
    _transitions(out)
    out.token("<Nnet3>")
    out.text("\n" + "\n".join(_config(components)) + "\n\n")
    out.token("<NumComponents>")
    out.whole(len(components))
    for component in components:
        out.token("<ComponentName>", component.name)
        _component(out, component)
    out.token("</Nnet3>", "<LeftContext>")
    out.whole(0)
    out.token("<RightContext>")
    out.whole(0)
    out.token("<Priors>")
    out.vector(np.zeros(0))
    return out.bytes()


def affines(data: bytes) -> dict[str, tuple[np.ndarray, np.ndarray]]:
    """Weights [out, in] and bias of each affine component, by name, of a `final.mdl` written by `final_mdl`."""
    found = {}
    opening = rb"<ComponentName> (\S+) <FixedAffineComponent> <LinearParams> FM \x04(.{4})\x04(.{4})"
    for match in re.finditer(opening, data, re.DOTALL):
        rows, columns = (int.from_bytes(match[at], "little") for at in (2, 3))
        weights = np.frombuffer(data, "<f4", rows * columns, match.end()).reshape(rows, columns)
        # Between them are the token and the length of the bias.
        begin = match.end() + 4 * rows * columns + len(b"<BiasParams> FV \x04....")
        found[match[1].decode()] = weights, np.frombuffer(data, "<f4", rows, begin)
    return found


def forward_id(phone: int) -> int:
    """Transition id of a phone's first frame."""
    return 2 * phone


def loop_id(phone: int) -> int:
    """Transition id of every later frame."""
    return 2 * phone - 1


def _transitions(out: _Writer) -> None:
    count = len(KALDI_PHONES)
    out.token("<TransitionModel>", "<Topology>")
    out.wholes(range(1, count + 1))
    out.wholes([-1] + [0] * count)
    # -1: forward and loop classes differ; one topology of two states.
    out.whole(-1, 1, 2)
    out.whole(0, 1, 2)
    for target in (0, 1):
        out.whole(target)
        out.real(0.5)
    out.whole(-1, -1, 0)
    out.token("</Topology>", "<Tuples>")
    out.whole(count)
    for number, phone in enumerate(KALDI_PHONES, 1):
        unit = unit_of(phone)
        out.whole(number, 0, first_class(unit), further_class(unit))
    out.token("</Tuples>", "<LogProbs>")
    out.vector(np.concatenate([[0.0], np.full(2 * count, np.log(0.5))]))
    out.token("</LogProbs>", "</TransitionModel>")


def _config(components: Sequence[Component]) -> list[str]:
    size = components[0].weights.shape[1] if isinstance(components[0], Affine) else 0
    offsets = components[0].source.count("input")
    lines = [f"input-node name=input dim={size // offsets}"]
    lines += [f"component-node name={one.name} component={one.name} input={one.source}" for one in components]
    return [*lines, f"output-node name=output input={components[-1].name} objective=linear"]


def _component(out: _Writer, component: Component) -> None:
    match component:
        case Affine():
            out.token("<FixedAffineComponent>", "<LinearParams>")
            out.matrix(component.weights)
            out.token("<BiasParams>")
            out.vector(component.bias)
            out.token("</FixedAffineComponent>")
        case Rectifier():
            out.token("<RectifiedLinearComponent>", "<Dim>")
            out.whole(component.size)
            for name in ("<ValueAvg>", "<DerivAvg>"):
                out.token(name)
                out.vector(np.zeros(0))
            out.token("<Count>")
            out.double(0.0)
            out.token("</RectifiedLinearComponent>")
        case Sum():
            out.token("<NoOpComponent>", "<Dim>")
            out.whole(component.size)
            out.token("<BackpropScale>")
            out.real(1.0)
            out.token("</NoOpComponent>")
