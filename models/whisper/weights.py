"""Reads and writes weights in CTranslate2's file format (`model.bin`), and converts them to int8.

The format, little-endian: version, name, revision; number of variables, each with name, shape, type, size in bytes and
values in row-major order; number of aliases, each with its name and the name it refers to. A name is its length with
the final zero (16 bits), its characters, and the zero.
"""

from __future__ import annotations

import struct
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

import numpy as np

Arrays = dict[str, np.ndarray]

TYPES: tuple[type[np.generic], ...] = (np.float32, np.int8, np.int16, np.int32, np.float16)
"""Number types, indexed by their code in the file."""
LAYOUT = 6
"""Version of the file format that is written."""


@dataclass(frozen=True)
class Weights:
    """The variables of a model by name. `aliases` map second names to them."""

    name: str
    revision: int
    arrays: Arrays
    aliases: dict[str, str]


def read(path: Path) -> Weights:
    """Read a `model.bin`."""
    with path.open("rb") as file:
        _number(file, "I")
        name, revision, count = _string(file), _number(file, "I"), _number(file, "I")
        arrays = dict(_variable(file) for _ in range(count))
        aliases = {_string(file): _string(file) for _ in range(_number(file, "I"))}
    return Weights(name, revision, arrays, aliases)


def write(path: Path, weights: Weights) -> None:
    """Write a `model.bin`. The same weights give the same bytes."""
    with path.open("wb") as file:
        file.write(struct.pack("<I", LAYOUT))
        _write_string(file, weights.name)
        file.write(struct.pack("<II", weights.revision, len(weights.arrays)))
        for name, array in sorted(weights.arrays.items()):
            _write_variable(file, name, array)
        file.write(struct.pack("<I", len(weights.aliases)))
        for alias, name in sorted(weights.aliases.items()):
            _write_string(file, alias)
            _write_string(file, name)


def as_float(weights: Weights) -> Arrays:
    """All arrays of more than one number as float32, with int8 rows dequantized and scales removed."""
    arrays = weights.arrays
    return {
        name: _whole(array, arrays.get(f"{name}_scale"))
        for name, array in arrays.items()
        if array.ndim and not name.endswith("_scale")
    }


def as_int8(weights: Weights, trained: Mapping[str, np.ndarray] | None = None) -> Weights:
    """The weights, with those in `trained` replaced and every matrix of the network in int8 with one scale per row.

    Convolutions, norms, biases and positions stay in 16-bit floating point. They are a thirtieth of the file.
    """
    arrays: Arrays = {name: array for name, array in weights.arrays.items() if not array.ndim}
    for name, array in (as_float(weights) | dict(trained or {})).items():
        if name.endswith("/weight") and array.ndim == 2:
            largest = np.abs(array).max(1)
            scale = (127 / np.where(largest > 0, largest, 127)).astype(np.float32)
            arrays[name] = np.rint(array * scale[:, None]).astype(np.int8)
            arrays[f"{name}_scale"] = scale
        else:
            arrays[name] = array.astype(np.float16)
    aliases = dict(weights.aliases)
    for alias, name in weights.aliases.items():
        if f"{name}_scale" in arrays:
            aliases[f"{alias}_scale"] = f"{name}_scale"
    return Weights(weights.name, weights.revision, arrays, aliases)


def _whole(array: np.ndarray, scale: np.ndarray | None) -> np.ndarray:
    whole = array.astype(np.float32)
    return whole if scale is None else whole / scale.reshape(-1, *[1] * (array.ndim - 1))


def _number(file: BinaryIO, form: str) -> int:
    return int(struct.unpack(f"<{form}", file.read(struct.calcsize(form)))[0])


def _string(file: BinaryIO) -> str:
    return file.read(_number(file, "H")).rstrip(b"\0").decode()


def _variable(file: BinaryIO) -> tuple[str, np.ndarray]:
    name = _string(file)
    shape = [_number(file, "I") for _ in range(_number(file, "B"))]
    kind = TYPES[_number(file, "B")]
    data = file.read(_number(file, "I"))
    return name, np.frombuffer(data, kind).reshape(shape)


def _write_string(file: BinaryIO, text: str) -> None:
    data = text.encode() + b"\0"
    file.write(struct.pack("<H", len(data)) + data)


def _write_variable(file: BinaryIO, name: str, array: np.ndarray) -> None:
    _write_string(file, name)
    data = np.ascontiguousarray(array).tobytes()
    file.write(struct.pack(f"<B{array.ndim}I", array.ndim, *array.shape))
    file.write(struct.pack("<BI", TYPES.index(array.dtype.type), len(data)))
    file.write(data)


def restored(folder: Path) -> dict[str, np.ndarray]:
    """The arrays saved by `models.whisper.train`, as 32-bit arrays by name."""
    found: dict[str, np.ndarray] = {}
    for path in sorted(folder.glob("part-*.npz")):
        with np.load(path) as part:
            found |= {name.replace("|", "/"): part[name].astype(np.float32) for name in part.files}
    return found
