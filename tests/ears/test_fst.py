"""Grammar files: what is written is read back by an independent reading of the format, and by Vosk itself."""

from __future__ import annotations

import struct
from pathlib import Path

import pytest

from bench.core.notes import BenchError
from bench.ears.confidence import Evidence, calibrated, confidences, shares
from bench.ears.fst import Costs, grammar_fst, read_symbols, read_word_list
from bench.language.automaton import automaton
from bench.language.nodes import alt, opt, seq

WORDS = {"<eps>": 0, "[unk]": 1, "half": 2, "one": 3, "two": 4, "and": 5, "a": 6}


def arcs_of(data: bytes) -> tuple[dict[tuple[int, int], tuple[float, int]], set[int]]:
    """States, arcs and ends of a `vector` `standard` OpenFst file, read by the layout in OpenFst's fst.h."""
    at = 4
    for _ in range(2):
        (length,) = struct.unpack_from("<i", data, at)
        at += 4 + length
    start, states, count = struct.unpack_from("<qqq", data, at + 16)
    assert start == 0
    at += 40
    arcs, finals = {}, set()
    for state in range(states):
        weight, number = struct.unpack_from("<fq", data, at)
        at += 12
        if weight != float("inf"):
            finals.add(state)
        labels = []
        for _ in range(number):
            label, output, cost, to = struct.unpack_from("<iifi", data, at)
            at += 16
            assert label == output
            labels.append(label)
            arcs[state, label] = (cost, to)
        assert labels == sorted(labels)
    assert len(arcs) == count
    assert at == len(data)
    return arcs, finals


def build_path(data: bytes, words: str) -> float | None:
    """The cost of saying these words, or None when the grammar does not hold them."""
    arcs, finals = arcs_of(data)
    state, total = 0, 0.0
    for word in words.split():
        if (state, WORDS[word]) not in arcs:
            return None
        cost, state = arcs[state, WORDS[word]]
        total += cost
    return total if state in finals else None


@pytest.fixture
def data() -> bytes:
    grammar = automaton(seq(alt("one", "two", "three"), opt("and a half")))
    return grammar_fst(grammar, WORDS, Costs(word=0.5, filler=4.0), "[unk]")


def test_what_can_be_said_costs_its_words_and_nothing_else_is_there(data: bytes) -> None:
    assert build_path(data, "one") == pytest.approx(0.5)
    assert build_path(data, "two and a half") == pytest.approx(2.0)
    assert build_path(data, "two and a") is None
    assert build_path(data, "half") is None


def test_a_word_the_model_lacks_leaves_the_rest_standing(data: bytes) -> None:
    assert "three" not in WORDS
    assert build_path(data, "two") is not None


def test_the_filler_stands_beside_the_grammar_never_inside_it(data: bytes) -> None:
    assert build_path(data, "[unk] [unk]") == pytest.approx(4.0)
    assert build_path(data, "one [unk]") is None
    assert build_path(data, "[unk] one") is None


def test_symbols_inside_a_grammar_are_read_and_damage_is_told(tmp_path: Path, data: bytes) -> None:
    def text(words: str) -> bytes:
        return struct.pack("<i", len(words)) + words.encode()

    table = struct.pack("<i", 2_125_658_996) + text("words") + struct.pack("<qq", 3, 2)
    table += text("<eps>") + struct.pack("<q", 0) + text("one") + struct.pack("<q", 7)
    header = data[:4] + text("vector") + text("standard")
    rest = data[len(header) :]
    with_symbols = header + struct.pack("<ii", 2, 1) + rest[8:40] + table + rest[40:]
    file = tmp_path / "Gr.fst"
    file.write_bytes(with_symbols)
    assert read_symbols(file) == {"<eps>": 0, "one": 7}
    file.write_bytes(data)
    assert read_symbols(file) == {}
    file.write_bytes(with_symbols[: len(header) + 60])
    with pytest.raises(BenchError, match="damaged"):
        read_symbols(file)
    (tmp_path / "words.txt").write_text("one two three\n")
    with pytest.raises(BenchError, match="damaged"):
        read_word_list(tmp_path / "words.txt")


def test_shares_and_calibration() -> None:
    assert shares([0.0, 0.0], 1.0) == [0.5, 0.5]
    assert shares([-10.0, -12.0], 1.0)[0] == pytest.approx(0.8808, abs=1e-4)  # 1 / (1 + exp(-2))
    points = [(0.2, 0.1), (0.6, 0.5), (1.0, 0.9)]
    assert [calibrated(share, points) for share in (0.0, 0.4, 1.0)] == pytest.approx([0.1, 0.3, 0.9])


def test_confidence_is_the_chance_that_it_was_for_us_and_then_right() -> None:
    right, ours = [(0.0, 0.0), (1.0, 1.0)], [(-8.0, 0.0), (-4.0, 0.5), (0.0, 1.0)]
    readings = (0.75, 0.25)
    assert confidences(Evidence(readings, -4.0), right, ours) == pytest.approx((0.375, 0.125))
    assert confidences(Evidence(readings, 3.0), right, ours) == pytest.approx(readings)
    assert confidences(Evidence(readings, -20.0), right, ours) == pytest.approx((0.0, 0.0))
    assert confidences(Evidence(readings), right, ours) == pytest.approx(readings)  # a model without a rival


def test_all_readings_together_are_never_surer_than_that_it_was_for_us() -> None:
    steep, ours = [(0.0, 0.0), (0.4, 0.9), (1.0, 1.0)], [(-4.0, 0.5), (0.0, 1.0)]
    sure = confidences(Evidence((0.4, 0.3, 0.3), -4.0), steep, ours)
    assert sure == pytest.approx((0.45, 0.025, 0.025))
    assert confidences(Evidence((1.0,), 0.0), steep, ours) == pytest.approx((1.0,))
