"""The recognizer on real people's words, and what happens when a model is missing or damaged."""

from __future__ import annotations

import shutil
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
import soundfile

from bench.audio import portaudio
from bench.audio.microphone import MicrophoneSource
from bench.audio.recording import read_recording
from bench.audio.samples import RATE, Samples
from bench.audio.source import EndOfSound, RecordingSource
from bench.core.notes import BenchError
from bench.data.phrases import lexicon
from bench.ears.choose import recognizer
from bench.ears.model_directory import damaged_files, find_model, model_directory
from bench.ears.recognizer import Recognizer
from bench.ears.whole import hear_whole
from bench.language.grammar import plain_automaton, vocabulary
from bench.language.meaning import Expectation, Heard, Hypothesis, Kind, typed
from bench.language.understand import understand
from tests.audio_rig import AudioRig
from tests.ears.corpus import entries, sound, voices

COUNT = Expectation(Kind.COUNT, Fraction(0), Fraction(99), commands=("repeat", "back", "next"))
YESNO = Expectation(Kind.YESNO, commands=("repeat", "back", "next"))
LENGTH = Expectation(Kind.LENGTH, Fraction(0), Fraction(120), commands=("repeat", "back", "next"))
WORDS = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
DIGITS = {word: number for number, word in enumerate(WORDS)}


@pytest.fixture(scope="module")
def ear() -> Recognizer:
    return recognizer("vosk")


def best_is(heard: Heard, expectation: Expectation, value: object) -> bool:
    """Whether the best reading, taken for certain, means this."""
    certain = Heard(tuple(Hypothesis(one.words, 1.0) for one in heard.hypotheses[:1]))
    meaning = understand(certain, expectation, lexicon()).meaning
    return meaning is not None and meaning.value == value


def test_digits_by_real_people(ear: Recognizer) -> None:
    """Speech Commands (Warden 2018), a sixth of the clips, among all counts up to 99 and commands.

    Measured by tests/benchmarks/hearing.py with a margin of about ten points.
    """
    ear.expect(COUNT)
    clips = list(entries(lambda one: one["source"] == "speech-commands" and one["text"] in DIGITS))[::6]
    right = [best_is(hear_whole(ear, sound(one)), COUNT, DIGITS[one["text"]]) for one in clips]
    assert len(right) > 28
    assert np.mean(right) >= 0.85


def test_yes_and_no_by_real_people(ear: Recognizer) -> None:
    """Speech Commands (Warden 2018), all 32 clips."""
    ear.expect(YESNO)
    clips = list(entries(lambda one: one["source"] == "speech-commands" and one["text"] in ("yes", "no")))
    right = [best_is(hear_whole(ear, sound(one)), YESNO, one["text"] == "yes") for one in clips]
    assert len(right) >= 30
    assert np.mean(right) >= 0.85


def test_nothing_outside_the_grammar_is_ever_heard(ear: Recognizer) -> None:
    """Two minutes of other words and talk: whatever comes back is a phrase of the grammar, or nothing."""
    ear.expect(YESNO)
    grammar = plain_automaton(YESNO, lexicon())
    for entry in list(entries(lambda one: one["source"] in ("ljspeech", "wake-word-benchmark")))[::6]:
        for hypothesis in hear_whole(ear, sound(entry)[: 6 * RATE]).hypotheses:
            assert grammar.accepts(hypothesis.words)


def test_alternatives_are_different_readings_with_falling_confidence(ear: Recognizer) -> None:
    ear.expect(COUNT)
    several = 0
    for entry in list(entries(lambda one: one["source"] == "speech-commands" and one["text"] in DIGITS))[
        ::20
    ]:
        heard = hear_whole(ear, sound(entry))
        assert len({one.words for one in heard.hypotheses}) == len(heard.hypotheses)
        assert all(0 <= one.confidence <= 1 for one in heard.hypotheses)
        several += len(heard.hypotheses) > 1
    assert several > 1


def test_whole_lengths_by_voices_it_was_not_trained_on(ear: Recognizer) -> None:
    """Kokoro-82M's held-out voices; tests/benchmarks/hearing.py takes all four hundred."""
    ear.expect(LENGTH)
    said = list(voices())[::20]
    right = sum(
        understand(hear_whole(ear, samples), LENGTH, lexicon()).meaning
        == understand(typed(words), LENGTH, lexicon()).meaning
        for words, samples in said
    )
    assert len(said) == 20
    assert right >= 18


def test_talk_for_somebody_else_is_no_answer(ear: Recognizer) -> None:
    """LibriSpeech and LJ Speech; tests/benchmarks/false_accepts.py takes meetings and calls too."""
    sources = ("librispeech", "ljspeech")
    talk = [sound(entry)[: 5 * RATE] for entry in entries(lambda entry: entry["source"] in sources)]
    assert len(talk) >= 10
    for expectation in (LENGTH, YESNO):
        ear.expect(expectation)
        for samples in talk:
            understood = understand(hear_whole(ear, samples), expectation, lexicon())
            assert understood.meaning is None


def test_every_word_of_every_phrase_can_be_heard() -> None:
    """A word without a pronunciation can never be recognized."""
    path = find_model()
    assert path is not None
    words = {line.split()[0] for line in (path / "graph" / "words.txt").read_text().splitlines()}
    assert vocabulary(lexicon()) - words == set()


def test_auto_takes_two_recognizers_with_the_models_that_come_along() -> None:
    both = recognizer()
    both.close()
    assert both.name == "Vosk (bench-en)", "the second has been ended"


def test_without_a_model_it_says_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("bench.ears.choose.find_model", lambda: None)
    with pytest.raises(BenchError) as caught:
        recognizer()
    assert "--model" in caught.value.remedy.template


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    path = find_model()
    assert path is not None
    shutil.copytree(path, tmp_path / "model")
    return tmp_path / "model"


def test_a_model_that_is_not_there_says_so(tmp_path: Path) -> None:
    with pytest.raises(BenchError, match="no model directory") as caught:
        recognizer("auto", tmp_path / "nowhere")
    assert "--model" in caught.value.remedy.template


@pytest.mark.parametrize("name", ["am/final.mdl", "conf/model.conf", "graph/HCLr.fst"])
def test_a_missing_file_is_named(copy: Path, name: str) -> None:
    (copy / name).unlink()
    with pytest.raises(BenchError, match=name):
        recognizer("vosk", copy)


def test_a_changed_file_is_found_by_its_digest(copy: Path) -> None:
    with (copy / "am" / "final.mdl").open("r+b") as file:
        file.seek(5000)
        file.write(b"damage")
    assert damaged_files(model_directory(copy)) == ["am/final.mdl"]
    with pytest.raises(BenchError, match=r"damaged: am/final\.mdl"):
        recognizer("vosk", copy)


@pytest.mark.parametrize("name", ["am/final.mdl", "graph/HCLr.fst", "conf/model.conf", "graph/words.txt"])
def test_damage_without_digests_is_an_error_never_a_crash(copy: Path, name: str) -> None:
    (copy / "bench.toml").unlink()
    data = (copy / name).read_bytes()
    (copy / name).write_bytes(data[: len(data) // 20])
    with pytest.raises(BenchError) as caught:
        recognizer("vosk", copy).expect(YESNO)
    assert caught.value.remedy.template


def test_damaged_settings_name_the_key(copy: Path) -> None:
    (copy / "bench.toml").write_text('[decoding]\nword_cost = "much"\n')
    with pytest.raises(BenchError, match="word_cost"):
        recognizer("vosk", copy)


def test_a_model_without_a_word_list_file_keeps_it_in_its_grammar(copy: Path) -> None:
    """As small Vosk models are published: no words.txt, symbols inside Gr.fst. Neither: an error."""
    (copy / "bench.toml").unlink()
    (copy / "graph" / "words.txt").unlink()
    with pytest.raises(BenchError, match="list of words"):
        recognizer("vosk", copy)


def test_recordings_of_any_rate_and_channels_become_sixteen_kilohertz_mono(tmp_path: Path) -> None:
    """One second of a 440 Hz tone keeps its length and its pitch."""
    tone = 0.5 * np.sin(2 * np.pi * 440 * np.arange(44_100) / 44_100)
    soundfile.write(tmp_path / "tone.wav", np.stack([tone, tone], axis=1), 44_100)
    read = read_recording(tmp_path / "tone.wav")
    assert len(read) == pytest.approx(RATE, abs=2)
    assert np.argmax(np.abs(np.fft.rfft(read[:RATE].astype(float)))) == pytest.approx(440, abs=1)
    with pytest.raises(BenchError, match="cannot be read as sound"):
        read_recording(tmp_path / "nothing.wav")
    source = RecordingSource(tmp_path / "tone.wav", paced=False)
    source.open()
    with pytest.raises(EndOfSound):
        exhaust(source)


def exhaust(source: RecordingSource) -> None:
    for _ in range(100):
        source.read(0.1)


def test_the_microphone_is_heard_at_its_own_rate_and_found_by_name(audio_rig: AudioRig) -> None:
    """A virtual microphone of 48 kHz; a second of speech goes in and comes out at 16 kHz."""
    with audio_rig.here():
        with pytest.raises(BenchError, match="nonsense") as caught:
            MicrophoneSource("nonsense").open()
        assert "There are:" in caught.value.remedy.template
        source = MicrophoneSource()
        source.open()
        assert source.name == portaudio.choose("input").name
        assert source.read(2.0) is not None
        audio_rig.play(sound(next(entries(lambda one: one["text"] == "seven"))), RATE)
        collected: list[Samples] = []
        while sum(map(len, collected)) < 5 * RATE:
            block = source.read(10.0)
            assert block is not None
            collected.append(block)
        source.close()
    heard = np.concatenate(collected)
    ear = recognizer("vosk")
    ear.expect(COUNT)
    assert hear_whole(ear, heard).text == "seven"
