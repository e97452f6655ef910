"""The second recognizer's parts against outside references: CTranslate2, its tokenizer, and the grammar."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from bench.audio.samples import RATE, Samples
from bench.core.notes import BenchError
from bench.data.phrases import lexicon
from bench.ears.joint import JointConfidence, Weights
from bench.ears.second import token_graph
from bench.ears.second.mel import log_mel
from bench.ears.second.model import check, find_second, second_model
from bench.ears.second.network import BEGIN, END, Network, Pair
from bench.ears.second.packed_arcs import PackedArcs, pack
from bench.ears.second.search import Reading, search
from bench.ears.second.spelling import Spelling, words_of
from bench.ears.second.token_graph import TokenGraph, graph_of
from bench.ears.sense import Sense, phrases
from bench.language.grammar import grammar_branches, vocabulary
from bench.language.meaning import Expectation, Heard, Hypothesis, Kind
from tests.ears.corpus import entries, sound, voices

LENGTH = Expectation(Kind.LENGTH, Fraction(0), Fraction(120), commands=("repeat", "back", "next"))


def folder() -> Path:
    found = find_second()
    assert found is not None
    return found


@pytest.fixture(scope="module")
def network() -> Network:
    return Network(folder())


@pytest.fixture(scope="module")
def spelling() -> Spelling:
    return Spelling(folder())


@pytest.fixture(scope="module")
def lengths(network: Network, spelling: Spelling) -> TokenGraph:
    grammar = grammar_branches(LENGTH, lexicon())
    for words in (vocabulary(lexicon()), {word.capitalize() for word in vocabulary(lexicon())}):
        for word in words:
            network.list_tokens([*spelling.tokens(f" {word}"), *spelling.tokens(f"-{word}")])
    return TokenGraph(PackedArcs(*pack(grammar.arcs)), grammar.start, grammar.finals, spelling)


def test_packed_arcs_are_the_arcs() -> None:
    arcs = grammar_branches(LENGTH, lexicon()).arcs
    unpacked = PackedArcs(*pack(arcs))
    assert tuple(tuple(unpacked.of(state)) for state in range(len(arcs))) == arcs


def said() -> list[tuple[str, Samples]]:
    """Lengths by voices that were not trained on (`models/heldout.toml`)."""
    return list(voices())[::60]


@pytest.mark.usefixtures("lengths")
def test_the_network_writes_what_ctranslate2_writes(network: Network) -> None:
    """The same weights, run by CTranslate2 in floating point: the same tokens, nearly the same probability."""
    ctranslate2 = pytest.importorskip("ctranslate2")
    reference = ctranslate2.models.Whisper(
        str(folder()), device="cpu", compute_type="float32", intra_threads=1
    )
    greedily = {"beam_size": 1, "max_length": 30, "return_scores": True, "length_penalty": 0}
    for _, samples in said()[:4]:
        features = ctranslate2.StorageView.from_array(np.ascontiguousarray(log_mel(samples).T[None]))
        found = reference.generate(features, [list(BEGIN)], **greedily)
        tokens, score = greedy(network, samples)
        assert tokens[:-1] == found[0].sequences_ids[0]
        # Tokens that are no part of open speech's commonest do not compete here: a little more for each of the rest.
        assert 0 <= score - found[0].scores[0] < 0.06 * len(tokens)


def greedy(network: Network, samples: Samples) -> tuple[list[int], float]:
    heard = network.encode(samples)
    past: list[Pair] = []
    tokens, total = [*BEGIN], 0.0
    for at in range(40):
        scores, past = network.step([tokens[at]], at, past, heard)
        if at + 1 < len(BEGIN):
            continue
        column = int(scores[0].argmax())
        tokens.append(int(network.listed[column]))
        total += float(scores[0, column])
        if tokens[-1] == END:
            break
    return tokens[len(BEGIN) :], total


def test_words_are_spelled_as_the_tokenizers_library_spells_them(spelling: Spelling) -> None:
    tokenizers = pytest.importorskip("tokenizers")
    reference = tokenizers.Tokenizer.from_file(str(folder() / "tokenizer.json"))
    for word in sorted(vocabulary(lexicon())):
        for text in (f" {word}", f" {word.capitalize()}", f" {word.upper()}", f"-{word}"):
            tokens = spelling.tokens(text)
            assert list(tokens) == reference.encode(text, add_special_tokens=False).ids, text
            assert spelling.text(tokens) == text


def test_the_graph_holds_what_the_grammar_accepts_and_nothing_else(
    lengths: TokenGraph, spelling: Spelling
) -> None:
    def accepted(text: str) -> bool:
        node = lengths.start
        for token in spelling.tokens(text):
            if token not in lengths.following(node):
                return False
            node = lengths.following(node)[token]
        return not node

    assert accepted(" Thirty-one and a quarter.")
    assert accepted(" Twenty-seven and three eighths inches.")
    assert accepted(" Repeat.")
    for text in (" Thirty one and a quarter.", " Thirty-one and a", " A quarter thirty.", " Hello.", "."):
        assert not accepted(text), text


def test_a_graph_keeps_a_bounded_number_of_nodes_and_unfolds_the_others_again(
    lengths: TokenGraph, spelling: Spelling, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every noise leads the search elsewhere: over a day memory grew without bound."""
    monkeypatch.setattr(token_graph, "_MOST_UNFOLDED", 40)
    graph = TokenGraph(lengths._arcs, next(iter(lengths.start)).state, lengths._finals, spelling)
    reached, waiting = {graph.start}, [graph.start]
    while waiting and len(reached) < 500:
        for node in graph.following(waiting.pop(0)).values():
            if node not in reached:
                reached.add(node)
                waiting.append(node)
        assert len(graph._unfolded) <= 40
    assert len(reached) >= 500
    assert graph.following(graph.start) == lengths.following(lengths.start)


def test_lengths_are_heard_and_nothing_outside_the_grammar(
    network: Network, lengths: TokenGraph, spelling: Spelling
) -> None:
    grammar = grammar_branches(LENGTH, lexicon())
    right = 0
    for words, samples in said():
        found = search(network, network.encode(samples), lengths, spelling)
        assert all(grammar.accepts(reading.words) for reading in found)
        assert [one.score for one in found] == sorted((one.score for one in found), reverse=True)
        right += found[0].words == tuple(words.split())
    assert right >= len(said()) - 1


def test_a_forced_reading_scores_as_it_does_in_the_search(
    network: Network, lengths: TokenGraph, spelling: Spelling
) -> None:
    heard = network.encode(said()[0][1])
    best = search(network, heard, lengths, spelling)[0]
    forced = search(network, heard, graph_of([best.words, ("next",)], spelling), spelling, 2, float("inf"))
    assert forced[0].words == best.words
    assert forced[0].score == pytest.approx(best.score, abs=0.01)
    assert forced[1].words == ("next",)


def test_talk_is_no_likely_length(network: Network, lengths: TokenGraph, spelling: Spelling) -> None:
    """LJ Speech, a book being read: no length of any likelihood."""
    for entry in list(entries(lambda one: one["source"] == "ljspeech"))[:4]:
        found = search(network, network.encode(sound(entry)[: 5 * RATE]), lengths, spelling)
        assert not found or found[0].score < -4


def test_confidence_rises_with_every_sign_and_is_shared_by_the_readings() -> None:
    clear = (Reading(("seven",), -0.1), Reading(("eleven",), -4.0))
    doubtful = (Reading(("seven",), -2.1), Reading(("eleven",), -2.4))
    confidence = JointConfidence(Weights(), frozenset(("uh",)))
    same = Heard((Hypothesis(("uh", "seven"), 0.9),))
    other = Heard((Hypothesis(("eleven",), 0.9),))

    def both(first: Heard, readings: tuple[Reading, ...]) -> tuple[Hypothesis, ...]:
        return confidence.hypotheses(confidence.evidence(first, readings, Sense))

    sure, unsure, apart = both(same, clear), both(same, doubtful), both(Heard(()), doubtful)
    assert sure[0].confidence > unsure[0].confidence > apart[0].confidence
    alone, less = confidence.alone(clear, Sense), confidence.alone(doubtful, Sense)
    assert alone is not None
    assert less is not None
    assert alone.confidence > less.confidence
    assert all(0 <= sum(one.confidence for one in all_of) <= 1 for all_of in (sure, unsure, apart))
    assert both(other, doubtful)[0].words == ("eleven",), "the first tips it"
    assert both(other, clear)[0].words == ("seven",), "and no more than that"
    assert both(same, ()) == ()
    assert (
        sure[0].confidence
        < 0.9
        < both(same, (Reading(("seven",), -0.1), Reading(("two",), -7.0)))[0].confidence
    ), "never told as sure while there is a rival"


def test_readings_that_mean_the_same_count_together_and_what_was_asked_counts_more() -> None:
    confidence, sense = JointConfidence(Weights(), frozenset()), phrases(lexicon())

    def leads(*readings: Reading) -> tuple[tuple[str, ...], float]:
        found = confidence.evidence(Heard(()), readings, sense(LENGTH))
        return found.readings[0][0], found.features[0]

    half, one_half = Reading(("six", "and", "a", "half"), -0.9), Reading(("six", "and", "one", "half"), -1.0)
    rival = Reading(("sixteen", "and", "a", "half"), -3.0)
    assert leads(half, one_half, rival)[1] > leads(half, rival)[1] > 2, "they are no rivals of one another"
    assert leads(Reading(("next",), -1.0), Reading(("six",), -1.2))[0] == ("six",)
    assert leads(Reading(("next",), -0.1), Reading(("six",), -4.0))[0] == ("next",)


def test_a_long_reading_is_judged_by_its_words() -> None:
    confidence = JointConfidence(Weights(), frozenset())

    def likelihood(words: int, score: float) -> float:
        reading = Reading(("six",) * words, score)
        return confidence.evidence(Heard(()), (reading,), Sense).features[1]

    assert [likelihood(8, -4.0), likelihood(5, -4.0)] == [-4.0, -4.0], (
        "what is short, by its likelihood as a whole"
    )
    assert likelihood(16, -8.0) == pytest.approx(-4.0)


def test_words_of_a_text() -> None:
    assert words_of(" Thirty-one and a quarter.") == ("thirty", "one", "and", "a", "quarter")
    assert words_of(" EMT, what's next?") == words_of(" E M T, what's next?") == ("emt", "what's", "next")


def test_a_changed_file_is_named_and_a_cut_one_is_no_crash(tmp_path: Path) -> None:
    assert second_model(folder()).files
    check(folder())
    for name in ("bench.toml", "tokenizer.json", "vocabulary.txt", "config.json", "LICENSE"):
        if (folder() / name).exists():
            (tmp_path / name).write_bytes((folder() / name).read_bytes())
    (tmp_path / "model.bin").write_bytes((folder() / "model.bin").read_bytes()[:1_000_000])
    with pytest.raises(BenchError, match=r"damaged: model\.bin"):
        check(tmp_path)
    with pytest.raises(BenchError, match="damaged"):
        Network(tmp_path)
