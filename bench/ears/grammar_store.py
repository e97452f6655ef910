"""Compiled grammars kept from one start to the next: a wide one takes a third of a second to make."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable
from pathlib import Path

import bench
from bench.data.cache import Cache
from bench.data.files import shared
from bench.language.grammar import said_alike
from bench.language.meaning import Expectation

_CODE = ("language/*.py", "core/lengths.py", "data/phrases.py", "ears/fst.py")
_DATA = ("phrases.toml", "places.toml", "glossary.toml")


class GrammarStore:
    """Compiled grammars of the product's phrases, by what can be said and by the model they are for."""

    def __init__(self) -> None:
        self._cache = Cache("grammars")
        self._version = _version()

    def compiled(self, expectation: Expectation, model: bytes, make: Callable[[], bytes]) -> bytes:
        """The grammar of the expectation, made by `make` unless it is stored. `model` is all else it depends on."""
        if self._version is None:
            return make()
        key = b"\0".join((self._version, model, repr(said_alike(expectation)).encode()))
        stored = self._cache.get(key)
        if stored is None:
            stored = make()
            self._cache.put(key, stored)
        return stored


def _version() -> bytes | None:
    """A digest of all code and phrases that a grammar is made from; None when they cannot be read."""
    package = Path(bench.__file__).parent
    code = (file for pattern in _CODE for file in sorted(package.glob(pattern)))
    return _digest((*code, *(shared() / name for name in _DATA)))


def _digest(files: Iterable[Path]) -> bytes | None:
    whole = hashlib.sha256()
    try:
        for file in files:
            whole.update(hashlib.sha256(file.read_bytes()).digest())
    except OSError:
        return None
    return whole.digest()
