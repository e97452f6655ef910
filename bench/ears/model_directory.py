"""A Vosk model on disk: where one is found, whether it is whole, and what its maker says about using it.

A model may carry a `bench.toml`, all of it optional:

    name = "bench-en"
    [decoding]
    word_cost = 0.5            # natural-log cost of each word: more means fewer, longer words
    filler_cost = 7.0          # of leaving the grammar for filler: less means more is rejected as not for us
    hesitation_cost = 4.0      # of each word that changes nothing ("uh"), on top of word_cost
    filler = "[unk]"           # the filler's name in words.txt
    alternatives = 6           # readings asked for
    [confidence]
    scale = 0.2                # of the differences in score between readings, before they become shares
    points = [[0.0, 0.0], [0.5, 0.4], [1.0, 0.99]]    # share of the best reading -> how often it is right
    fit = [[-8.0, 0.01], [-1.0, 0.99]]    # lead over the background, a second -> how often it was for us
    [background]               # any sounds at all, the rival of every reading; see bench/ears/background.py
    sounds = ["[aa]", "[ae]"]  # words of words.txt that are one sound each
    sound_cost = 1.0           # of each of them
    filler_cost = -1.0         # of each filler word beside them
    [files]                    # sha256 of each file
    "am/final.mdl" = "..."
"""

from __future__ import annotations

import hashlib
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TypeVar

import cattrs

from bench.core.notes import BenchError
from bench.data.folders import data_folder

T = TypeVar("T")

OWN = "bench-en"
"""The model that comes with Bench."""
SETTINGS_FILE = "bench.toml"
_NEEDED = ("am/final.mdl", "conf/mfcc.conf", "conf/model.conf")
_DYNAMIC = ("graph/HCLr.fst", "graph/Gr.fst", "graph/disambig_tid.int")
_STATIC = "graph/HCLG.fst"
_REMEDY = "Name the directory of a whole Vosk model with --model."


@dataclass(frozen=True)
class Decoding:
    """How the grammar is weighted for this model; see the module's text."""

    word_cost: float = 0.0
    filler_cost: float = 0.0
    hesitation_cost: float = 4.0
    filler: str = "[unk]"
    alternatives: int = 6


@dataclass(frozen=True)
class Confidence:
    """How scores become confidence; see the module's text."""

    scale: float = 0.2
    points: list[tuple[float, float]] = field(default_factory=lambda: [(0.0, 0.0), (1.0, 1.0)])
    fit: list[tuple[float, float]] = field(default_factory=list)


@dataclass(frozen=True)
class Sounds:
    """What the background is made of; see the module's text."""

    sounds: list[str] = field(default_factory=list)
    sound_cost: float = 1.0
    filler_cost: float = 0.0


@dataclass(frozen=True)
class ModelSettings:
    """The contents of `bench.toml`."""

    name: str = ""
    decoding: Decoding = field(default_factory=Decoding)
    confidence: Confidence = field(default_factory=Confidence)
    background: Sounds = field(default_factory=Sounds)
    files: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class ModelDirectory:
    """A model that has all the files Vosk needs. `grammars` tells whether it can take a grammar of ours."""

    path: Path
    settings: ModelSettings
    grammars: bool

    @property
    def name(self) -> str:
        """What the person knows it by."""
        return self.settings.name or self.path.name


def model_directory(path: Path | str) -> ModelDirectory:
    """The model at `path`. Raises BenchError naming what is missing and what to do."""
    path = Path(path).expanduser()
    if not path.is_dir():
        raise BenchError(f"There is no model directory {path}.", _REMEDY, code="model_missing")
    static = (path / _STATIC).is_file()
    needed = _NEEDED if static else _NEEDED + _DYNAMIC
    missing = [name for name in needed if not (path / name).is_file()]
    if missing:
        remedy = f"Put a whole copy of the model into {path}."
        raise BenchError(f"The speech model lacks {', '.join(missing)}.", remedy, code="model_damaged")
    return ModelDirectory(path, _settings(path), grammars=not static)


def damaged_files(model: ModelDirectory) -> list[str]:
    """Files that are not what the model's maker wrote down; empty when all are or nothing was."""
    return changed_files(model.path, model.settings.files)


def changed_files(folder: Path, digests: Mapping[str, str]) -> list[str]:
    """Files that are missing or do not have the digest that was written down."""
    return [name for name, digest in digests.items() if _sha256(folder / name) != digest]


def find_model() -> Path | None:
    """The model that comes with Bench: in the installed package, or in a checkout's `models/`."""
    return shipped(OWN, _NEEDED[0])


def shipped(name: str, file: str) -> Path | None:
    """A model directory that comes with Bench and holds `file`."""
    package = Path(__file__).parents[1]
    for path in (package / "_models" / name, package.parent / "models" / name):
        if (path / file).is_file():
            return path
    return None


def models_folder() -> Path:
    """Where models that the person adds are kept."""
    return data_folder() / "models"


def fetched_models() -> list[Path]:
    """The models the person added, by name."""
    return sorted(path.parent.parent for path in models_folder().glob(f"*/{_NEEDED[0]}"))


def read_settings(folder: Path, shape: type[T], remedy: str) -> T:
    """A model's `bench.toml` as a `shape` (a dataclass). Raises BenchError naming the key that is wrong."""
    file = folder / SETTINGS_FILE
    try:
        raw = tomllib.loads(file.read_text(encoding="utf-8"))
        # A maker may write down more about a model than is needed to use it.
        return cattrs.Converter().structure(raw, shape)
    except (OSError, ValueError) as error:
        reasons = str(error)
    except cattrs.BaseValidationError as error:
        reasons = "; ".join(cattrs.transform_error(error))
    raise BenchError(f"{file}: {reasons}", remedy, code="model_damaged")


def _settings(path: Path) -> ModelSettings:
    if not (path / SETTINGS_FILE).is_file():
        return ModelSettings()
    return read_settings(path, ModelSettings, _REMEDY)


def _sha256(path: Path) -> str:
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError:
        return ""
