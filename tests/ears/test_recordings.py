"""Recordings of any size and any header: answered or refused at once, in little memory."""

from __future__ import annotations

import struct
import tracemalloc
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import numpy as np
import pytest
import soundfile

from bench.audio.recording import Recording, read_recording
from bench.audio.samples import RATE, Samples
from bench.audio.source import EndOfSound, RecordingSource
from bench.cli import main
from bench.core.notes import BenchError

MEGABYTE = 1_000_000


def wav(path: Path, seconds: int, rate: int = RATE, channels: int = 1) -> Path:
    """Silence of any length, as a file with a hole (RIFF WAVE, 16 bit; Microsoft and IBM 1991)."""
    size = seconds * rate * channels * 2
    form = struct.pack("<HHIIHH", 1, channels, rate, rate * channels * 2, channels * 2, 16)
    head = b"RIFF" + struct.pack("<I", 36 + size) + b"WAVEfmt " + struct.pack("<I", 16) + form
    with path.open("wb") as file:
        file.write(head + b"data" + struct.pack("<I", size))
        file.truncate(44 + size)
    return path


@contextmanager
def little_memory(most: float) -> Iterator[None]:
    tracemalloc.start()
    try:
        yield
        assert tracemalloc.get_traced_memory()[1] < most
    finally:
        tracemalloc.stop()


def read_all(source: RecordingSource) -> Samples:
    blocks = []
    with suppress(EndOfSound):
        while (block := source.read(0.1)) is not None:
            blocks.append(block)
    return np.concatenate(blocks)


def test_hours_are_no_answer(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    recording = wav(tmp_path / "hours.wav", 10 * 3600)
    with little_memory(MEGABYTE), pytest.raises(BenchError, match="36000 seconds") as caught:
        read_recording(recording, longest=30)
    assert caught.value.code == "recording_too_long"
    assert main(["hear", str(recording), "--expect", "length", "--ear", "vosk"]) == 2
    assert "--wav" in capsys.readouterr().err


def test_hours_in_place_of_the_microphone_are_read_as_they_go(tmp_path: Path) -> None:
    source = RecordingSource(wav(tmp_path / "hours.wav", 3 * 3600, 48_000, 2), paced=False)
    with little_memory(5 * MEGABYTE):
        source.open()
        for _ in range(200):
            block = source.read(0.1)
            assert block is not None
            assert len(block) == 512
    source.close()


@pytest.mark.parametrize(("rate", "channels"), [(1, 1), (10, 1), (RATE, 60)])
def test_a_header_that_cannot_be_is_refused(tmp_path: Path, rate: int, channels: int) -> None:
    with little_memory(MEGABYTE), pytest.raises(BenchError, match="claims"):
        Recording(wav(tmp_path / "odd.wav", 60, rate, channels))


@pytest.mark.parametrize("name", ["sound.raw", "words.wav", "missing.flac"])
def test_what_is_no_sound_file_is_said_to_be_none(tmp_path: Path, name: str) -> None:
    if not name.startswith("missing"):
        (tmp_path / name).write_bytes(b"twenty seven and a half" * 100)
    with pytest.raises(BenchError, match="cannot be read as sound"):
        read_recording(tmp_path / name)


def test_a_damaged_place_ends_a_recording_and_is_told(tmp_path: Path) -> None:
    noise = np.random.default_rng(0).normal(0, 3000, 4 * RATE).astype(np.int16)
    path = tmp_path / "damaged.flac"
    soundfile.write(path, noise, RATE)
    data = bytearray(path.read_bytes())
    half = len(data) // 2
    data[half : half + 2000] = bytes(2000)
    path.write_bytes(data)
    source = RecordingSource(path, paced=False)
    source.open()
    with pytest.raises(BenchError, match="cannot be read"):
        read_all(source)
    with pytest.raises(BenchError, match="cannot be read"):
        source.open()


def test_pieces_are_the_whole_in_pitch_and_length(tmp_path: Path) -> None:
    """Resampled piece by piece as at once, by soxr itself."""
    import soxr

    sweep = 0.5 * np.sin(np.cumsum(np.linspace(0.01, 0.6, 3 * 44_100)))
    soundfile.write(tmp_path / "sweep.wav", sweep, 44_100, subtype="FLOAT")
    whole = soxr.resample(sweep.astype(np.float32), 44_100, RATE) * 32_768
    read = read_recording(tmp_path / "sweep.wav").astype(float)
    assert len(read) == pytest.approx(len(whole), abs=1)
    assert np.abs(read[: len(whole) - 1] - whole[: len(read)][: len(whole) - 1]).max() < 3
    source = RecordingSource(tmp_path / "sweep.wav", paced=False)
    source.open()
    assert np.array_equal(read_all(source), read.astype(np.int16))
