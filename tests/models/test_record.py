"""The recording kit: hands-free, every clip on disk at once, a session can be continued."""

import json
from pathlib import Path

import numpy as np
import pytest
import soundfile

from bench.audio.recording import read_recording
from bench.audio.samples import Samples
from bench.audio.source import RecordingSource
from bench.cli import main, record
from tests.ears.test_ears import quiet, real, ringing, spoken

PEOPLE = Path(__file__).parents[2] / "shared" / "speech" / "people" / "an4"


def two_phrases() -> np.ndarray:
    """Two AN4 recordings (Carnegie Mellon University) with silence around them."""
    quiet = np.zeros(24_000, np.int16)
    clips = [read_recording(path) for path in sorted(PEOPLE.glob("*.flac"))[3:5]]
    return np.concatenate([quiet, clips[0], quiet, clips[1], quiet])


def test_no_recording_without_consent(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["record", str(tmp_path / "clips")]) == 2
    assert "CC BY 4.0" in capsys.readouterr().out
    assert not (tmp_path / "clips").exists()


def test_a_volunteer_reads_two_phrases_and_stops(tmp_path: Path) -> None:
    sound = tmp_path / "session.wav"
    soundfile.write(sound, two_phrases(), 16_000)
    folder = tmp_path / "clips"
    assert main(["record", str(folder), "--consent", "--silent", "--from-file", str(sound)]) == 1
    rows = [json.loads(line) for line in (folder / "manifest.jsonl").read_text().splitlines()]
    assert [row["text"] for row in rows] == list(record.script().phrases[:2])
    for row in rows:
        samples, rate = soundfile.read(folder / row["path"])
        assert rate == 16_000
        assert len(samples) / rate == pytest.approx(row["duration"], abs=0.001)
    assert rows[0]["speaker"] in (folder / "consent.txt").read_text()


def test_a_session_goes_on_where_it_stopped_with_the_same_speaker(tmp_path: Path) -> None:
    lines = record.script()
    first = record.Session(tmp_path, lines, "shop")
    first.keep(*first.left[0], np.zeros(1600, np.int16))
    again = record.Session(tmp_path, lines, "shop")
    assert again.count == 1
    assert [text for text, _ in again.left] == [text for text, _ in first.left][1:]


def test_silence_is_not_an_utterance() -> None:
    source = RecordingSource(np.zeros(160_000, np.int16), paced=False)
    source.open()
    assert record.utterance(source, patience=2) is None


class Microphone:
    """Sound captured while our voice spoke, then what comes after it."""

    waits = False
    name = "test microphone"

    def __init__(self, before: Samples, after: Samples) -> None:
        self._before, self._after = [before], [after[at : at + 320] for at in range(0, len(after), 320)]

    def open(self) -> None: ...

    def close(self) -> None: ...

    def read(self, timeout: float) -> Samples | None:
        if self._before or timeout == 0:
            return self._before.pop() if self._before else None
        return self._after.pop(0) if self._after else np.zeros(320, np.int16)


def test_who_repeats_at_once_is_recorded_from_the_first_sound() -> None:
    """A person's word (Speech Commands) 0.2 s after our voice, whose end rings on in a measured room (OpenAIR)."""
    word = real("seven")
    loud = np.flatnonzero(np.abs(word.astype(np.int32)) > np.abs(word).max() // 4)
    word = word[loud[0] - 400 :]
    track, at = np.concatenate([ringing(), quiet(2)]), 4_000
    track[at : at + len(word)] += word
    clip = record.utterance(Microphone(spoken("seven"), track))
    assert clip is not None
    places = np.flatnonzero(
        (np.lib.stride_tricks.sliding_window_view(clip, 800) == track[at : at + 800]).all(axis=1)
    )
    assert len(places) == 1
    assert places[0] < at, "our own words are not in the clip"
    assert record.utterance(Microphone(spoken("seven"), ringing()), patience=1) is None


def test_every_phrase_can_be_understood_or_is_marked_as_talk() -> None:
    from bench.data.phrases import lexicon
    from bench.language.grammar import vocabulary

    known = vocabulary(lexicon())
    for text in record.script().phrases:
        assert set(text.split()) <= known, text
