"""Tuning the ears to one person: the warp against SciPy, the choice of it, the file, its undoing."""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
import soundfile
from scipy.signal import resample_poly

from bench.audio.samples import RATE, Samples
from bench.cli import main
from bench.core.notes import BenchError
from bench.data.phrases import lexicon
from bench.ears.adapt import FEWEST, Read, adapt, chosen, phrases_read
from bench.ears.choose import recognizer, untuned
from bench.ears.tuning import (
    FACTORS,
    TunedRecognizer,
    Voice,
    forget_voice,
    keep_voice,
    kept_voice,
    voice_file,
    warped,
)
from bench.ears.whole import padded
from bench.language.meaning import Expectation, Heard, Kind, typed
from bench.language.understand import understand
from tests.ears.corpus import entries, sound

AS_IS = FACTORS.index(1.0)
COUNT = Expectation(Kind.COUNT, Fraction(0), Fraction(99))


@pytest.fixture(autouse=True)
def own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """No test sees the voice of whoever runs it."""
    monkeypatch.setattr("bench.ears.tuning.user_data_path", lambda *_, **__: tmp_path / "data")


class Remembering:
    """Keeps the sound it is given."""

    streams = True
    name = "Remembering"

    def __init__(self) -> None:
        self.given: list[Samples] = []

    def expect(self, expectation: Expectation) -> None:
        self.given.clear()

    def accept(self, block: Samples) -> None:
        self.given.append(block)

    def partial(self) -> Heard:
        return Heard(())

    def finish(self) -> Heard:
        return Heard((), sum(map(len, self.given)) / RATE)

    def close(self) -> None:
        self.given.clear()


def real_word() -> Samples:
    """A real person's "seven" (Speech Commands, Warden 2018)."""
    return sound(next(entries(lambda one: one["text"] == "seven" and one["source"] == "speech-commands")))


def test_the_warp_is_that_of_scipy() -> None:
    """1.12 is 28/25; the two filters differ only near the upper end of what they let through."""
    word = real_word()
    ours = warped(word, 1.12).astype(float)
    reference = resample_poly(word.astype(float), 25, 28)[: len(ours)]
    error = ours[: len(reference)] - reference
    assert np.sqrt(np.mean(error**2)) < 0.05 * np.sqrt(np.mean(reference**2))


@pytest.mark.parametrize("factor", [0.84, 0.92, 1.08, 1.16])
def test_the_warp_moves_a_tone_by_its_factor(factor: float) -> None:
    tone = (10_000 * np.sin(2 * np.pi * 1000 * np.arange(RATE) / RATE)).astype(np.int16)
    moved = warped(tone, factor)
    spectrum = np.abs(np.fft.rfft(moved * np.hanning(len(moved))))
    assert spectrum.argmax() * RATE / len(moved) == pytest.approx(1000 * factor, abs=1.5)
    assert len(moved) == pytest.approx(RATE / factor, abs=2)


def test_a_tuned_recognizer_hears_piece_by_piece_what_the_warp_gives_at_once() -> None:
    inner, word = Remembering(), real_word()
    ear = TunedRecognizer(inner, 1.08)
    for _ in range(2):
        ear.expect(COUNT)
        for start in range(0, len(word), 512):
            ear.accept(word[start : start + 512])
        heard = ear.finish()
        got, whole = np.concatenate(inner.given).astype(int), warped(word, 1.08)
        assert len(got) == len(whole)
        assert np.abs(got - whole).max() <= 3
        assert heard.seconds == pytest.approx(len(word) / RATE, abs=0.001)


def test_a_factor_is_chosen_when_it_helps_and_only_then() -> None:
    """Chances made up; twenty phrases, as the set-up asks for."""
    helped = np.full((20, len(FACTORS)), 0.5)
    helped[:, AS_IS + 2] = 0.9
    assert chosen(helped) == AS_IS + 2
    assert chosen(np.full((20, len(FACTORS)), 0.7)) == AS_IS
    one_phrase = np.full((20, len(FACTORS)), 0.9)
    one_phrase[3, : AS_IS + 1] = 0.0
    assert chosen(one_phrase) == AS_IS


def test_chance_is_seldom_taken_for_help() -> None:
    """A gain of 1.5 standard errors comes by chance in one normal sample of fifteen (tables of the normal curve)."""
    rng = np.random.default_rng(4)
    taken = sum(chosen(rng.uniform(0.3, 1.0, (20, len(FACTORS)))) != AS_IS for _ in range(200))
    assert taken < 2 * 200 / 15


def test_an_artificial_warp_of_a_real_person_is_found_and_undone() -> None:
    """Numbers of the Asterisk prompts, never trained on; throat a quarter longer, by SciPy."""
    read: list[Read] = []
    for one in entries(lambda one: one["source"] == "asterisk-core-sounds-en", share_alike=True):
        meaning = understand(typed(one["text"]), COUNT, lexicon()).meaning
        if meaning is not None and len(read) < 16:
            longer = resample_poly(sound(one).astype(float), 5, 4)
            read.append(Read(longer.astype(np.int16), COUNT, meaning))
    ear = untuned("vosk")
    outcome = adapt(ear, read)
    ear.close()
    assert outcome.factor >= 1.08
    assert outcome.right_after > outcome.right_before


def test_what_was_learned_is_used_shown_and_undone(capsys: pytest.CaptureFixture[str]) -> None:
    plain = recognizer("vosk")
    keep_voice(Voice(plain.name, 1.08, 20))
    tuned = recognizer("vosk")
    assert isinstance(tuned, TunedRecognizer)
    assert not isinstance(recognizer("pocketsphinx"), TunedRecognizer)
    assert main(["model", "adapt"]) == 0
    assert "1.08" in capsys.readouterr().out
    assert main(["model", "adapt", "--undo"]) == 0
    assert not voice_file().exists()
    assert recognizer("vosk").name == plain.name
    assert not forget_voice()


@pytest.mark.parametrize(
    "text",
    [
        "factor = ",
        'ear = "x"\nfactor = 3.0\nphrases = 20\n',
        'ear = "x"\nfactor = nan\nphrases = 20\n',
        'ear = "x"',
    ],
)
def test_a_damaged_file_is_named_with_its_remedy(text: str) -> None:
    voice_file().parent.mkdir(parents=True)
    voice_file().write_text(text, encoding="utf-8")
    with pytest.raises(BenchError) as caught:
        recognizer("vosk")
    assert caught.value.code == "voice_damaged"
    assert main(["model", "adapt", "--undo"]) == 0
    assert kept_voice() is None


def test_too_few_phrases_or_no_list_are_said(tmp_path: Path) -> None:
    few = clips(tmp_path / "few", [("fifteen", padded(real_word()))] * (FEWEST - 1))
    for folder, code in ((few, "too_few_phrases"), (tmp_path / "none", "bad_manifest")):
        with pytest.raises(BenchError) as caught:
            phrases_read(folder)
        assert caught.value.code == code


def test_the_set_up_asks_for_no_consent_to_share(tmp_path: Path) -> None:
    folder, file = tmp_path / "me", tmp_path / "read.wav"
    quiet = np.zeros(RATE * 3 // 2, np.int16)
    soundfile.write(str(file), np.concatenate([quiet, real_word(), quiet]), RATE)
    assert main(["record", str(folder), "--for-me", "--silent", "--from-file", str(file)]) == 1
    (row,) = [json.loads(line) for line in (folder / "manifest.jsonl").read_text().splitlines()]
    assert row["licence"] == "private"
    assert not (folder / "consent.txt").exists()


def clips(folder: Path, read: list[tuple[str, Samples]]) -> Path:
    """A folder as `bench record` leaves it."""
    folder.mkdir(parents=True, exist_ok=True)
    with (folder / "manifest.jsonl").open("w", encoding="utf-8") as manifest:
        for number, (text, samples) in enumerate(read):
            name = f"{number:03d}.flac"
            soundfile.write(str(folder / name), np.clip(samples, -32768, 32767).astype(np.int16), RATE)
            manifest.write(json.dumps({"path": name, "text": text}) + "\n")
    return folder
