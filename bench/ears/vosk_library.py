"""Vosk's C interface (its `vosk_api.h`): models, and recognizers with which one utterance is decoded each.

The library is taken out of the installed package without importing that, which brings an HTTP client along and takes
a tenth of a second. Calls let other threads run.
"""

from __future__ import annotations

import ctypes
import importlib.util
import sys
from ctypes import c_char_p, c_float, c_int, c_void_p
from functools import cache
from pathlib import Path

from bench.core.notes import BenchError

_FILES = {"win32": "libvosk.dll", "darwin": "libvosk.dyld"}
_LINUX = "libvosk.so"
_SILENT = -2
"""Of warnings too: lattices cut short would be told on the screen."""
_SIGNATURES: dict[str, tuple[type | None, tuple[type, ...]]] = {
    "vosk_set_log_level": (None, (c_int,)),
    "vosk_model_new": (c_void_p, (c_char_p,)),
    "vosk_model_free": (None, (c_void_p,)),
    "vosk_recognizer_new": (c_void_p, (c_void_p, c_float)),
    "vosk_recognizer_free": (None, (c_void_p,)),
    "vosk_recognizer_set_max_alternatives": (None, (c_void_p, c_int)),
    "vosk_recognizer_accept_waveform": (c_int, (c_void_p, c_char_p, c_int)),
    "vosk_recognizer_partial_result": (c_char_p, (c_void_p,)),
    "vosk_recognizer_final_result": (c_char_p, (c_void_p,)),
}


class NotLoadable(Exception):
    """The files of a model are not those of a model."""


class Model:
    """A model directory in memory, until nothing refers to it. Raises NotLoadable."""

    def __init__(self, path: Path) -> None:
        self._library = library()
        self.handle = self._library.vosk_model_new(str(path).encode())
        if not self.handle:
            raise NotLoadable(path)

    def __del__(self) -> None:
        if self.handle:
            self._library.vosk_model_free(self.handle)


class Engine:
    """Decodes one utterance of 16-bit samples at `rate`. Results are JSON. Raises NotLoadable."""

    def __init__(self, model: Model, rate: int, alternatives: int = 0) -> None:
        self._library = library()
        self._model = model  # it must outlive the engine
        self._handle = self._library.vosk_recognizer_new(model.handle, rate)
        if not self._handle:
            raise NotLoadable
        self._library.vosk_recognizer_set_max_alternatives(self._handle, alternatives)

    def accept(self, sound: bytes) -> None:
        """More sound. Raises BenchError when the decoder fails."""
        if self._library.vosk_recognizer_accept_waveform(self._handle, sound, len(sound)) < 0:
            raise BenchError("The recognizer cannot decode the sound.", "Bench tries again.", code="decoder")

    def partial(self) -> bytes:
        """The best words so far."""
        found: bytes = self._library.vosk_recognizer_partial_result(self._handle)
        return found

    def final(self) -> bytes:
        """The readings of all the sound. The utterance is over."""
        found: bytes = self._library.vosk_recognizer_final_result(self._handle)
        return found

    def __del__(self) -> None:
        if getattr(self, "_handle", None):
            self._library.vosk_recognizer_free(self._handle)


@cache
def library() -> ctypes.CDLL:
    """The library, loaded once. Raises BenchError saying what is missing."""
    found = importlib.util.find_spec("vosk")
    if found is None or found.origin is None:
        remedy = "Install it with `pip install vosk`; the keys work without it."
        raise BenchError("The recognizer Vosk is not installed.", remedy, code="vosk_missing")
    path = Path(found.origin).with_name(_FILES.get(sys.platform, _LINUX))
    try:
        loaded = ctypes.CDLL(str(path))
        for name, (result, arguments) in _SIGNATURES.items():
            function = getattr(loaded, name)
            function.restype, function.argtypes = result, arguments
    except (OSError, AttributeError) as error:
        remedy = "It has no library for this machine; the keys work without it."
        raise BenchError(
            f"The recognizer Vosk cannot be loaded: {error}", remedy, code="vosk_missing"
        ) from error
    loaded.vosk_set_log_level(_SILENT)
    return loaded
