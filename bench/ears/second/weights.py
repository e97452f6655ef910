"""Weights of a Whisper model in the file layout of CTranslate2 (`model.bin`, version 6), int8 or floating point.

The layout, little-endian: version, name, revision; a count of variables, each with name, shape, type, size in bytes
and values in row order; a count of aliases. A name is its length with the closing zero (16 bits), its letters, zero.
An int8 matrix has a `_scale` beside it, one a row: value = stored / scale.
"""

from __future__ import annotations

import mmap
import struct
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bench.core.notes import BenchError
from bench.ears.second.mel import Floats

_TYPES = (np.float32, np.int8, np.int16, np.int32, np.float16)
"""Number types, each at the place of its code in the file."""


class Weights:
    """The variables of a model, mapped from its file and converted when asked for. Raises BenchError when damaged."""

    def __init__(self, path: Path) -> None:
        try:
            with path.open("rb") as file:
                self._data = mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ)
            self._arrays = self._read()
        except (OSError, struct.error, ValueError, IndexError, UnicodeDecodeError) as error:
            remedy = "Put a whole copy of the model in its place."
            raise BenchError(f"{path} is damaged.", remedy, code="model_damaged") from error

    def __contains__(self, name: str) -> bool:
        return name in self._arrays

    def floats(self, name: str, rows: NDArray[np.int64] | None = None) -> Floats:
        """A variable as float32, or only some of its rows. Raises BenchError when it is not there."""
        array = self.raw(name)
        scale = self._arrays.get(f"{name}_scale")
        if rows is not None:
            array = array[rows]
            scale = None if scale is None else scale[rows]
        whole = array.astype(np.float32)
        if scale is not None:
            whole /= scale.reshape(-1, *[1] * (whole.ndim - 1))
        return whole

    def number(self, name: str) -> int:
        """A variable that is one number."""
        return int(self.raw(name))

    def raw(self, name: str) -> NDArray[Any]:
        """A variable as it is stored."""
        if name not in self._arrays:
            remedy = "Put a whole copy of the model in its place."
            raise BenchError(f"The model has no {name}.", remedy, code="model_damaged")
        return self._arrays[name]

    def _read(self) -> dict[str, NDArray[Any]]:
        self._at = 0
        self._number("I")
        self._text()
        self._number("I")
        arrays = dict(self._variable() for _ in range(self._number("I")))
        for _ in range(self._number("I")):
            alias, name = self._text(), self._text()
            arrays[alias] = arrays[name]
        return arrays

    def _number(self, form: str) -> int:
        (value,) = struct.unpack_from(f"<{form}", self._data, self._at)
        self._at += struct.calcsize(form)
        return int(value)

    def _text(self) -> str:
        length = self._number("H")
        text = self._data[self._at : self._at + length].rstrip(b"\0").decode()
        self._at += length
        return text

    def _variable(self) -> tuple[str, NDArray[Any]]:
        name = self._text()
        shape = [self._number("I") for _ in range(self._number("B"))]
        kind = np.dtype(_TYPES[self._number("B")])
        size = self._number("I")
        array = np.frombuffer(self._data, kind, size // kind.itemsize, self._at).reshape(shape)
        self._at += size
        return name, array
