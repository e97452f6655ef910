"""The real recordings in `shared/speech`, for tests; their sources and licenses are in its SOURCES.md."""

from __future__ import annotations

import io
import json
import zipfile
from collections.abc import Callable, Iterator
from typing import Any

import soundfile

from bench.audio.recording import read_recording
from bench.audio.samples import Samples
from bench.data.files import shared

Entry = dict[str, Any]


def entries(wanted: Callable[[Entry], bool], share_alike: bool = False) -> Iterator[Entry]:
    """Manifest entries that are `wanted`, in their order, each with its whole `file` path."""
    folder = shared() / "speech" / ("share-alike" if share_alike else "")
    for line in (folder / "manifest.jsonl").read_text(encoding="utf-8").splitlines():
        entry = json.loads(line)
        if wanted(entry):
            yield {**entry, "file": folder / entry["path"]}


def sound(entry: Entry) -> Samples:
    """The recording itself."""
    return read_recording(entry["file"])


def voices() -> Iterator[tuple[str, Samples]]:
    """Words and sound of lengths said by synthetic voices that no model of ours was trained on."""
    with zipfile.ZipFile(shared() / "speech" / "voices" / "held-out.zip") as archive:
        for line in archive.read("manifest.jsonl").decode().splitlines():
            entry = json.loads(line)
            samples, _ = soundfile.read(io.BytesIO(archive.read(entry["file"])), dtype="int16")
            yield " ".join(entry["words"]), samples
