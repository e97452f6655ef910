"""The sentences of a grammar that fit a sound best.

A beam search (Lowerre 1976) along the graph of the grammar's tokens. The scores are log probabilities of whole texts,
the end included, as the network gives them among all that can be written in English.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from bench.ears.second.mel import Floats
from bench.ears.second.network import BEGIN, END, Network, Pair
from bench.ears.second.spelling import Spelling, words_of
from bench.ears.second.token_graph import Node, TokenGraph

WIDTH = 10
"""Texts followed at a time."""
LEAD = 7.0
"""A text that is less likely than the best one by a factor of e to this is dropped."""
HOPELESS = -16.0
"""The log probability below which a text is dropped, whatever else there is: talk fits nothing in the grammar."""
_NO_LEAD = float("inf")
_LONGEST = 64
"""Tokens."""


@dataclass(frozen=True, slots=True)
class Reading:
    """A text and its log probability."""

    words: tuple[str, ...]
    score: float


@dataclass(frozen=True, slots=True)
class _Text:
    """A text being followed: its tokens, score, place in the graph, and row of the last step."""

    tokens: tuple[int, ...]
    score: float
    node: Node
    row: int = 0


@dataclass(slots=True)
class _Search:
    network: Network
    graph: TokenGraph
    width: int
    lead: float
    ended: dict[tuple[int, ...], float] = field(default_factory=dict)

    def follow(self, text: _Text, scores: Floats) -> Iterable[_Text]:
        """All that may come after a text; after the stop comes the end."""
        if not text.node:
            self.ended[text.tokens] = text.score + float(scores[text.row, self.network.column(END)])
            return
        for token, node in self.graph.following(text.node).items():
            score = text.score + float(scores[text.row, self.network.column(token)])
            yield _Text((*text.tokens, token), score, node, text.row)

    def kept(self, texts: list[_Text]) -> list[_Text]:
        """The most likely texts, those far behind the best left out."""
        if not texts:
            return []
        texts.sort(key=lambda text: -text.score)
        best = max([texts[0].score, *self.ended.values()])
        least = max(best - self.lead, HOPELESS) if self.lead < _NO_LEAD else -_NO_LEAD
        return [text for text in texts[: self.width] if text.score > least]


def search(
    network: Network,
    sound: list[Pair],
    graph: TokenGraph,
    spelling: Spelling,
    width: int = WIDTH,
    lead: float = LEAD,
) -> tuple[Reading, ...]:
    """The readings of `graph` that fit the encoded sound, best first."""
    past: list[Pair] = []
    for at, token in enumerate(BEGIN):
        scores, past = network.step([token], at, past, sound)
    run = _Search(network, graph, width, lead)
    texts = [_Text((), 0.0, graph.start)]
    for at in range(len(BEGIN), len(BEGIN) + _LONGEST):
        texts = run.kept([grown for text in texts for grown in run.follow(text, scores)])
        if not texts:
            break
        rows = [text.row for text in texts]
        past = [(k[rows], v[rows]) for k, v in past]
        scores, past = network.step([text.tokens[-1] for text in texts], at, past, sound)
        texts = [_Text(text.tokens, text.score, text.node, row) for row, text in enumerate(texts)]
    found: dict[tuple[str, ...], float] = {}
    for tokens, score in sorted(run.ended.items(), key=lambda ended: -ended[1]):
        found.setdefault(words_of(spelling.text(tokens)), score)
    return tuple(Reading(words, score) for words, score in found.items())
