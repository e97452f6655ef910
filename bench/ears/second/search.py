"""The sentences of a grammar that fit a sound best, and the best sentence of all English beside them.

A beam search (Lowerre 1976) along the graph of the grammar's tokens. The scores are log probabilities of whole texts,
the end included, as the network gives them: those of a grammar can be compared with one another and with the text
that the network would have written freely.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from bench.ears.second.mel import Floats
from bench.ears.second.network import BEGIN, END, Network, Pair
from bench.ears.second.spelling import Spelling, words_of
from bench.ears.second.token_graph import Node, TokenGraph

WIDTH = 12
"""Texts followed at a time."""
LEAD = 9.0
"""A text that is less likely than the best one by a factor of e to this is dropped."""
_LONGEST = 64
"""Tokens."""
_FREE_LONGEST = 24
"""Tokens of the free reading: talk that goes on longer is none of the grammar's anyway."""


@dataclass(frozen=True, slots=True)
class Reading:
    """A text and its log probability."""

    words: tuple[str, ...]
    score: float


@dataclass(frozen=True, slots=True)
class Found:
    """What fits a sound: the grammar's readings, best first, and the free one, which is not bound by it."""

    readings: tuple[Reading, ...]
    free: Reading


@dataclass(frozen=True, slots=True)
class _Text:
    """A text being followed: its tokens, score, place in the graph (None: free), and row of the last step."""

    tokens: tuple[int, ...]
    score: float
    node: Node | None
    row: int = 0


@dataclass(slots=True)
class _Search:
    network: Network
    graph: TokenGraph
    free: _Text | None
    readings: dict[tuple[int, ...], float] = field(default_factory=dict)
    free_end: _Text = field(default=_Text((), 0.0, None))

    def follow_free(self, text: _Text, scores: Floats) -> None:
        """The free text takes its likeliest token; it ends, or goes on up to a limit."""
        column = int(scores[text.row].argmax())
        token = int(self.network.listed[column])
        grown = _Text((*text.tokens, token), text.score + float(scores[text.row, column]), None, text.row)
        over = token == END or len(grown.tokens) >= _FREE_LONGEST
        self.free = None if over else grown
        self.free_end = grown

    def follow(self, text: _Text, scores: Floats) -> Iterable[_Text]:
        """All that may come after a text of the grammar; after the stop comes the end."""
        assert text.node is not None
        if not text.node:
            self.readings[text.tokens] = text.score + float(scores[text.row, self.network.column(END)])
            return
        for token, node in self.graph.following(text.node).items():
            score = text.score + float(scores[text.row, self.network.column(token)])
            yield _Text((*text.tokens, token), score, node, text.row)

    def kept(self, texts: list[_Text], width: int, lead: float) -> list[_Text]:
        """The most likely texts, those far behind the best left out."""
        texts.sort(key=lambda text: -text.score)
        best = max([texts[0].score, *self.readings.values()]) if texts else 0.0
        return [text for text in texts[:width] if text.score > best - lead]


def search(
    network: Network,
    sound: list[Pair],
    graph: TokenGraph,
    spelling: Spelling,
    width: int = WIDTH,
    lead: float = LEAD,
) -> Found:
    """The readings of `graph` that fit the encoded sound, and the free reading."""
    past: list[Pair] = []
    for at, token in enumerate(BEGIN):
        scores, past = network.step([token], at, past, sound)
    run = _Search(network, graph, _Text((), 0.0, None))
    texts = [_Text((), 0.0, graph.start)]
    for at in range(len(BEGIN), len(BEGIN) + _LONGEST):
        free, run.free = run.free, None
        if free is not None:
            run.follow_free(free, scores)
        texts = run.kept([grown for text in texts for grown in run.follow(text, scores)], width, lead)
        going = texts if run.free is None else [*texts, run.free]
        if not texts and (run.free is None or not run.readings):
            break
        if not going:
            break
        rows = [text.row for text in going]
        past = [(k[rows], v[rows]) for k, v in past]
        scores, past = network.step([text.tokens[-1] for text in going], at, past, sound)
        texts = [_Text(text.tokens, text.score, text.node, row) for row, text in enumerate(texts)]
        if run.free is not None:
            run.free = _Text(run.free.tokens, run.free.score, None, len(going) - 1)
    readings = sorted(run.readings.items(), key=lambda reading: -reading[1])
    written = [token for token in run.free_end.tokens if token != END]
    free_text = Reading(words_of(spelling.text(written)), run.free_end.score)
    return Found(
        tuple(Reading(words_of(spelling.text(tokens)), score) for tokens, score in readings), free_text
    )
