"""The acoustic network: a factorized time-delay network (Povey et al. 2018, "Semi-orthogonal low-rank matrix
factorization for deep neural networks"), small enough for a tablet, written so that Kaldi can run it.

Batch norms come before the ReLUs, so that export can fold them into the weights. It outputs one frame in three.
"""

from __future__ import annotations

from dataclasses import dataclass

import torch
from torch import Tensor, nn

from models.alignment import BYPASS, SUBSAMPLING
from models.features import COEFFICIENTS
from models.units import CLASSES


@dataclass(frozen=True)
class Shape:
    """The size of the network."""

    width: int = 512
    bottleneck: int = 96
    blocks: int = 9

    @property
    def context(self) -> int:
        """Feature frames needed on each side."""
        return SUBSAMPLING * self.blocks + 3


class Block(nn.Module):
    """A residual block: down to the bottleneck with the previous frame, up again with the next frame."""

    def __init__(self, shape: Shape) -> None:
        super().__init__()
        self.down = nn.Linear(2 * shape.width, shape.bottleneck, bias=False)
        self.up = nn.Linear(2 * shape.bottleneck, shape.width)
        self.norm = nn.BatchNorm1d(shape.width, affine=False)

    def forward(self, sound: Tensor) -> Tensor:
        low = self.down(torch.cat([sound[:, :-1], sound[:, 1:]], -1))
        high = self.up(torch.cat([low[:, :-1], low[:, 1:]], -1))
        return BYPASS * sound[:, 1:-1] + torch.relu(_normed(self.norm, high))


class Network(nn.Module):
    """Features [batch, frames + 2 * context, 40] to class scores [batch, frames / 3, CLASSES]."""

    def __init__(self, shape: Shape) -> None:
        super().__init__()
        self.shape = shape
        self.register_buffer("mean", torch.zeros(COEFFICIENTS))
        self.register_buffer("scale", torch.ones(COEFFICIENTS))
        self.first = nn.Linear(5 * COEFFICIENTS, shape.width)
        self.first_norm = nn.BatchNorm1d(shape.width, affine=False)
        self.second = nn.Linear(3 * shape.width, shape.bottleneck, bias=False)
        self.second_up = nn.Linear(shape.bottleneck, shape.width)
        self.second_norm = nn.BatchNorm1d(shape.width, affine=False)
        self.blocks = nn.ModuleList(Block(shape) for _ in range(shape.blocks))
        self.out = nn.Linear(shape.width, CLASSES)
        self.aside = nn.Linear(shape.width, CLASSES)
        """A second output, trained only on the alignment. It regularizes sequence training and is not exported."""

    def forward(self, features: Tensor) -> tuple[Tensor, Tensor]:
        sound = (features - self.mean) * self.scale
        count = sound.shape[1] - 4
        sound = torch.cat([sound[:, at : at + count] for at in range(5)], -1)
        sound = torch.relu(_normed(self.first_norm, self.first(sound)))
        count = sound.shape[1] - 2
        sound = torch.cat([sound[:, at : at + count : SUBSAMPLING] for at in range(3)], -1)
        sound = torch.relu(_normed(self.second_norm, self.second_up(self.second(sound))))
        for block in self.blocks:
            sound = block(sound)
        return self.out(sound), self.aside(sound)


def padded(features: Tensor, context: int) -> Tensor:
    """Features with the first and last frame repeated, like Kaldi at the ends of an utterance."""
    first, last = features[:, :1], features[:, -1:]
    return torch.cat([first.expand(-1, context, -1), features, last.expand(-1, context, -1)], 1)


def _normed(norm: nn.BatchNorm1d, sound: Tensor) -> Tensor:
    batch, time, width = sound.shape
    return norm(sound.reshape(batch * time, width)).reshape(batch, time, width)
