"""Sums over all alignments: the numerator for the transcript and the denominator for all possible speech.

Lattice-free maximum mutual information (Povey et al. 2016; whole utterances without fixed alignments as in Hadian et
al. 2018) with one-state units: entering unit u scores its first-frame class, staying in it its later-frame class.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import torch
from torch import Tensor

from models.alignment import NEVER, Prons, Said
from models.units import SILENCE, UNIT_NUMBER, UNITS


@dataclass(frozen=True)
class Batch:
    """Several graphs padded to one size. State `size` is a dead state."""

    units: Tensor
    before: Tensor
    starts: Tensor
    ends: Tensor


def batched(graphs: Sequence[Said], device: torch.device) -> Batch:
    """The graphs as tensors."""
    size = max(len(graph.units) for graph in graphs)
    most = max(len(one) for graph in graphs for one in graph.before)
    units = np.zeros((len(graphs), size), np.int64)
    before = np.full((len(graphs), size, most), size, np.int64)
    starts = np.full((len(graphs), size), NEVER, np.float32)
    ends = np.full((len(graphs), size), NEVER, np.float32)
    for row, graph in enumerate(graphs):
        units[row, : len(graph.units)] = graph.units
        for state, many in enumerate(graph.before):
            before[row, state, : len(many)] = many
        starts[row, graph.starts] = 0
        ends[row, graph.ends] = 0
    return Batch(*(torch.from_numpy(one).to(device) for one in (units, before, starts, ends)))


def said_score(scores: Tensor, batch: Batch) -> Tensor:
    """Log of the total score of all alignments of the transcript. `scores` is [batch, frames, classes]."""
    count, frames, _ = scores.shape
    size, most = batch.before.shape[1:]
    index = batch.units[:, None, :].expand(-1, frames, -1)
    first = scores.gather(2, 2 * index).unbind(1)
    further = scores.gather(2, 2 * index + 1).unbind(1)
    dead = scores.new_full((count, 1), NEVER)
    flat = batch.before.reshape(count, size * most)
    now = batch.starts + first[0]
    for at in range(1, frames):
        reached = torch.cat([now, dead], 1).gather(1, flat).reshape(count, size, most)
        enter = torch.logsumexp(reached, 2) + first[at]
        now = torch.logaddexp(now + further[at], enter)
    return torch.logsumexp(now + batch.ends, 1)


class Anything:
    """The denominator: a phone trigram model of all training transcripts."""

    def __init__(
        self, texts: Iterable[Sequence[str]], prons: Prons, device: torch.device, silence: float = 0.3
    ) -> None:
        size = len(UNITS)
        rng = np.random.default_rng(0)
        counts: Counter[tuple[int, int, int]] = Counter()
        quiet = UNIT_NUMBER[SILENCE]
        for words in texts:
            line = [quiet]
            for word in words:
                ways = prons[word]
                line += [UNIT_NUMBER[phone] for phone in ways[rng.integers(len(ways))]]
                if rng.random() < silence:
                    line.append(quiet)
            line += [quiet] * (line[-1] != quiet)
            padded = [quiet, *line]
            counts.update(zip(padded, padded[1:], padded[2:], strict=False))
        three = np.zeros((size, size, size))
        for key, count in counts.items():
            three[key] = count
        one = three.sum((0, 1)) + 0.5
        one /= one.sum()
        two = (three.sum(0) + 10 * one) / (three.sum(0).sum(1, keepdims=True) + 10)
        three = (three + 10 * two[None]) / (three.sum(2, keepdims=True) + 10)
        three[:, quiet, quiet] = 0
        three /= three.sum(2, keepdims=True)
        self._three = torch.tensor(three.transpose(1, 0, 2), dtype=torch.float32, device=device).contiguous()
        self._start = torch.tensor(two[quiet], dtype=torch.float32, device=device)
        self._quiet = quiet

    def score(self, scores: Tensor) -> Tensor:
        """Log of the total score of all alignments of any phone sequence. `scores` is [batch, frames, classes]."""
        top = scores.amax(2, keepdim=True).detach()
        chance = (scores - top).exp()
        first, further = chance[:, :, 0::2].unbind(1), chance[:, :, 1::2].unbind(1)
        now = torch.zeros(len(scores), len(UNITS), len(UNITS), device=scores.device)
        start = self._start * first[0]
        now = torch.cat([now[:, : self._quiet], start[:, None], now[:, self._quiet + 1 :]], 1)
        total = top.sum((1, 2))
        for at in range(1, scores.shape[1]):
            entered = torch.bmm(now.permute(2, 0, 1), self._three).permute(1, 0, 2)
            now = now * further[at][:, None, :] + entered * first[at][:, None, :]
            mass = now.sum((1, 2), keepdim=True)
            now = now / mass
            total = total + mass.log()[:, 0, 0]
        return total + now.sum((1, 2)).log()
