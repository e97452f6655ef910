"""The shipped speech model and the small parts of its builder."""

import hashlib
import json
import tomllib
from pathlib import Path

import numpy as np
import pytest

from bench.audio.recording import read_recording
from bench.data.phrases import lexicon
from bench.ears.model_directory import damaged_files, model_directory
from bench.ears.vosk_ear import VoskRecognizer
from bench.language.automaton import automaton
from bench.language.grammar import vocabulary
from bench.language.meaning import Expectation, Kind
from bench.language.nodes import alt
from models.export import Tuning, write_model
from models.features import mfcc
from models.graph import Costs, read_lexicon, read_vector_fst, vector_fst, word_graph, word_numbers
from models.kaldi import Affine, Component, Rectifier
from models.units import CLASSES, KALDI_PHONES, PHONES, SILENCE, first_class, further_class, placed

ROOT = Path(__file__).parents[2]
MODEL = ROOT / "models" / "bench-en"
SPEECH = ROOT / "shared" / "speech"


def test_every_file_is_what_was_written_down() -> None:
    model = model_directory(MODEL)
    assert "am/final.mdl" in model.settings.files
    assert damaged_files(model) == []


def test_it_is_small_enough_to_travel() -> None:
    assert sum(path.stat().st_size for path in MODEL.rglob("*") if path.is_file()) < 20_000_000


def test_it_knows_every_word_of_the_language() -> None:
    known = read_lexicon(MODEL / "graph" / "lexicon.txt")
    assert vocabulary(lexicon()) <= known.keys()
    assert all(set(phones) <= set(PHONES) for ways in known.values() for phones in ways)


def held_out(word: str, count: int) -> list[Path]:
    """Clips of Speech Commands (Warden 2018, CC BY 4.0) by speakers that were not trained on."""
    trained = set(tomllib.loads((ROOT / "models" / "heldout.toml").read_text())["training"]["speakers"])
    rows = map(json.loads, (SPEECH / "manifest.jsonl").read_text().splitlines())
    found = [row for row in rows if row["text"] == word and row["speaker"] not in trained]
    return [SPEECH / row["path"] for row in found[:count]]


def test_it_hears_people_it_was_not_trained_on() -> None:
    words = ("yes", "no", "stop", "left", "right", "seven")
    machine = automaton(alt(*words))
    ear = VoskRecognizer(model_directory(MODEL), lambda _: machine)
    ear.expect(Expectation(Kind.COMMAND))
    right = total = 0
    for word in words:
        for path in held_out(word, 4):
            quiet = np.random.default_rng(0).integers(-4, 5, 6400).astype(np.int16)
            ear.accept(np.concatenate([quiet, read_recording(path), quiet]))
            right += ear.finish().text == word
            total += 1
    ear.close()
    assert total >= 20
    assert right / total >= 0.85


def test_the_held_out_rule_is_what_the_list_says() -> None:
    trained = tomllib.loads((ROOT / "models" / "heldout.toml").read_text())["training"]["speakers"]
    assert all(int(hashlib.sha256(name.encode()).hexdigest(), 16) % 2 == 0 for name in trained)


def test_share_alike_recordings_are_never_trained_on() -> None:
    trained = set(tomllib.loads((ROOT / "models" / "heldout.toml").read_text())["training"]["speakers"])
    rows = map(json.loads, (SPEECH / "share-alike" / "manifest.jsonl").read_text().splitlines())
    assert trained.isdisjoint(str(row["speaker"]) for row in rows)


def test_a_graph_comes_back_from_its_file() -> None:
    prons: dict[str, list[tuple[str, ...]]] = {"ten": [("T", "EH", "N")], "two": [("T", "UW"), ("T", "AH")]}
    graph = word_graph(prons, word_numbers(list(prons)), Costs())
    again = read_vector_fst(vector_fst(graph))
    assert again.finals == graph.finals
    for kept, written in zip(again.arcs, graph.arcs, strict=True):
        assert [arc[:2] + arc[3:] for arc in kept] == [
            arc[:2] + arc[3:] for arc in sorted(written, key=lambda arc: arc[1])
        ]


def test_phones_know_their_place() -> None:
    assert placed(("AH",)) == ("AH_S",)
    assert placed(("T", "EH", "N")) == ("T_B", "EH_I", "N_E")
    assert len(set(KALDI_PHONES)) == len(KALDI_PHONES) == 158


def test_features_are_kaldis() -> None:
    """A 1 kHz tone through Kaldi's own code: kaldi-native-fbank 1.23, 40 coefficients, no dither."""
    tone = np.round(8000 * np.sin(2 * np.pi * 1000 * np.arange(1600) / 16_000)).astype(np.int16)
    kaldi = [49.4135, 50.3042, -62.4223, -116.1217, -29.2798]
    found = mfcc(tone)
    assert found.shape == (8, 40)
    assert found[3, :5] == pytest.approx(kaldi, abs=0.01)


@pytest.mark.parametrize(
    ("sounds", "said"),
    [(("T", "EH", "N"), "ten"), (("T", "UW"), "two"), ((SILENCE,), "")],
)
def test_vosk_takes_any_network_the_builder_writes(
    sounds: tuple[str, ...], said: str, tmp_path: Path
) -> None:
    """A network that finds the same sounds in anything: what is heard is the word made of them."""
    prons: dict[str, list[tuple[str, ...]]] = {"ten": [("T", "EH", "N")], "two": [("T", "UW")]}
    found = np.full(CLASSES, -10.0)
    for sound in sounds:
        found[[first_class(sound), further_class(sound)]] = 0.0
    parts: list[Component] = [
        Affine("a", "Append(Offset(input, -1), input)", np.zeros((16, 80)), np.zeros(16)),
        Rectifier("a.relu", "a", 16),
        Affine("out", "a.relu", np.zeros((CLASSES, 16)), found),
    ]
    write_model(tmp_path / "tiny", parts, prons, Tuning())
    machine = automaton(alt("ten", "two"))
    ear = VoskRecognizer(model_directory(tmp_path / "tiny"), lambda _: machine)
    ear.expect(Expectation(Kind.COMMAND))
    ear.accept(np.zeros(16_000, np.int16))
    assert ear.finish().text == said
    ear.close()
