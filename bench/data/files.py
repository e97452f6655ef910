"""Locates and reads the shared data. The only module that opens `shared/`."""

from __future__ import annotations

import tomllib
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any, TypeVar

import cattrs

from bench.core.notes import BenchError

T = TypeVar("T")

_REPAIR = "Install Bench again. Its data files are damaged or missing."


@cache
def shared() -> Path:
    """The folder of shared data: inside the installed package, or beside it in a checkout."""
    package = Path(__file__).parents[1]
    for folder in (package / "_shared", package.parent / "shared"):
        if folder.is_dir():
            return folder
    raise BenchError("The folder of shared data is missing.", _REPAIR, code="data_missing")


def read_toml(name: str) -> dict[str, Any]:
    """The TOML file `shared/NAME` as a dictionary. Raises BenchError naming the file when it cannot be read."""
    path = shared() / name
    try:
        with path.open("rb") as file:
            return tomllib.load(file)
    except (OSError, tomllib.TOMLDecodeError) as error:
        raise BenchError(f"{path}: {error}", _REPAIR, code="data_damaged") from error


def read_text(name: str) -> str:
    """The text file `shared/NAME`. Raises BenchError naming the file when it cannot be read."""
    try:
        return read_bytes(name).decode("utf-8")
    except UnicodeDecodeError as error:
        raise damaged(name, error) from error


def read_bytes(name: str) -> bytes:
    """The file `shared/NAME`. Raises BenchError naming the file when it cannot be read."""
    path = shared() / name
    try:
        return path.read_bytes()
    except OSError as error:
        raise damaged(name, error) from error


def damaged(name: str, error: Exception) -> BenchError:
    """The error of a file `shared/NAME` that cannot be used, for this reason."""
    return BenchError(f"{shared() / name}: {error}", _REPAIR, code="data_damaged")


def structured(name: str, shape: type[T], raw: object) -> T:
    """`raw` from `shared/NAME` as a `shape` (a dataclass). Raises BenchError naming the file and the key."""
    converter = cattrs.Converter(forbid_extra_keys=True)
    converter.register_structure_hook(Fraction, _fraction)
    try:
        return converter.structure(raw, shape)
    except Exception as error:
        reasons = "; ".join(cattrs.transform_error(error))
        raise BenchError(f"shared/{name}: {reasons}", _REPAIR, code="data_damaged") from error


def _fraction(raw: object, _: type) -> Fraction:
    """A number exactly as it is written in the data: 0.706 is 706/1000."""
    return Fraction(str(raw))
