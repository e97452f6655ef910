"""Directories that Vosk can load: the model's files by link, a grammar and settings of ours.

Vosk reads a grammar only as part of a model directory, so each grammar gets a directory.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Sequence
from pathlib import Path

from bench.audio.samples import RATE
from bench.core.notes import BenchError
from bench.data.temporary import TemporaryFolder
from bench.ears.fst import read_symbols, read_word_list
from bench.ears.model_directory import ModelDirectory
from bench.ears.vosk_library import Engine, Model, NotLoadable, library

_OURS = (
    *(f"--endpoint.rule{rule}.min-trailing-silence=1000" for rule in (1, 2, 3, 4)),
    "--endpoint.rule5.min-utterance-length=1000",
    "--phone-determinize=false",
    "--max-mem=400000",
)
"""No end of speech of Vosk's own: the ears decide. No lattice of phones, which grows without bound in the filler,
and a bound on that of words: in loud noise, where everything sounds a little like everything, it outlasted the
speech."""
_REMEDY = "Run `bench model verify`; put a whole copy of the model in its place."


class VoskModel:
    """A model that Vosk loads with one grammar after another. `words` are the numbers of the words it knows.

    Raises BenchError when Vosk is not installed.
    """

    def __init__(self, model: ModelDirectory) -> None:
        library()
        self._model = model
        self._folder = TemporaryFolder("ears")
        self._built = 0
        self.words = _word_list(model)

    def build(self, grammar: bytes | None, options: Sequence[str] = ()) -> Path:
        """A directory with this `Gr.fst`, or the model's own, and more lines for `model.conf`. Raises BenchError."""
        path = self._folder.path / str(self._built)
        self._built += 1
        try:
            self._fill(path, grammar, options)
        except OSError as error:
            shutil.rmtree(path, ignore_errors=True)
            remedy = (
                "Make room in the temporary folder; Bench tries again by itself. The keys work meanwhile."
            )
            raise BenchError(f"The grammar cannot be stored: {error}.", remedy, code="grammar") from error
        return path

    def _fill(self, path: Path, grammar: bytes | None, options: Sequence[str]) -> None:
        source = self._model.path
        for name in ("am/final.mdl", "conf/mfcc.conf"):
            _link(source / name, path / name)
        if (source / "ivector").is_dir():
            shutil.copytree(source / "ivector", path / "ivector", copy_function=_link)
        for file in (source / "graph").rglob("*"):
            if file.is_file() and not (grammar is not None and file.name in ("Gr.fst", "words.txt")):
                _link(file, path / file.relative_to(source))
        _write_conf(source / "conf" / "model.conf", path / "conf" / "model.conf", (*_OURS, *options))
        if grammar is not None:
            (path / "graph" / "Gr.fst").write_bytes(grammar)
            lines = "".join(f"{word} {number}\n" for word, number in self.words.items())
            (path / "graph" / "words.txt").write_text(lines, encoding="utf-8")

    def load(self, path: Path) -> Model:
        """Load a directory made by `build`. Raises BenchError when the model is damaged."""
        try:
            loaded = Model(path)
            Engine(loaded, RATE)  # a damaged graph is noticed only here
        except NotLoadable as error:
            message = f"The model {self._model.path} cannot be loaded."
            raise BenchError(message, _REMEDY, code="model_damaged") from error
        return loaded

    def close(self) -> None:
        """Remove the directories."""
        self._folder.close()


def _word_list(model: ModelDirectory) -> dict[str, int]:
    if not model.grammars:
        return {}
    listed = model.path / "graph" / "words.txt"
    words = read_word_list(listed) if listed.is_file() else read_symbols(model.path / "graph" / "Gr.fst")
    if not words:
        raise BenchError(f"The model {model.path} has no list of words.", _REMEDY, code="model_damaged")
    return words


def _write_conf(source: Path, target: Path, options: Sequence[str]) -> None:
    lines = source.read_text(encoding="utf-8").splitlines()
    if not any(line.startswith("--endpoint.silence-phones=") for line in lines):
        raise BenchError(f"{source} names no silence phones.", _REMEDY, code="model_damaged")
    ours = {line.partition("=")[0]: line for line in options}
    kept = [line for line in lines if line.partition("=")[0] not in ours]
    target.parent.mkdir(parents=True, exist_ok=True)
    target.write_text("\n".join([*kept, *ours.values(), ""]), encoding="utf-8")


def _link(source: str | Path, target: str | Path) -> None:
    """A link where the system allows one without special rights, else a copy."""
    Path(target).parent.mkdir(parents=True, exist_ok=True)
    try:
        os.symlink(Path(source).resolve(), target)
    except OSError:
        shutil.copyfile(source, target)
