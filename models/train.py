"""Stage 2: train the network. `python -m models.train --speech speech --out network.pt`

First on Flite's phone times, then with the lattice-free MMI criterion over all alignments (sequence.py). The averaged
weights are saved.
"""

from __future__ import annotations

import argparse
import math
import time
from collections.abc import Callable, Iterator, Mapping
from dataclasses import asdict, dataclass
from pathlib import Path

import numpy as np
import torch
from torch import Tensor, nn
from torch.optim.swa_utils import AveragedModel

from models.alignment import OUT_STEP, Said, said_graph
from models.augment import Mfcc, Shop
from models.corpus import HERE, Clip, noises, recorded, synthetic
from models.kaldi import affines
from models.network import Network, Shape, padded
from models.pronounce import lexicon
from models.sequence import Anything, batched, said_score
from models.units import CLASSES, FILLER, NOISE, UNIT_NUMBER

RATE = 16_000
LENGTHS = (1.6, 2.2, 3.0, 4.0, 5.5, 7.5, 10.0)
"""Batch lengths in seconds. A clip goes into the shortest one that fits it with extra silence."""


@dataclass(frozen=True)
class Plan:
    """The training schedule. `seconds` is the sound per batch; minutes are upper limits for each part."""

    seconds: float = 400.0
    seed_steps: int = 1500
    steps: int = 5000
    minutes: float = 600.0
    rate: float = 2e-3
    seed_rate: float = 2e-3
    aside: float = 0.2
    average: float = 0.998
    seed: int = 20


class Data:
    """Clips on the device, grouped by length, in random batches."""

    def __init__(self, clips: list[Clip], device: torch.device, plan: Plan, repeat: dict[str, int]) -> None:
        self.clips = clips
        self._device, self._plan = device, plan
        ends = np.cumsum([len(clip.samples) for clip in clips])
        self._flat = torch.from_numpy(np.concatenate([clip.samples for clip in clips])).to(device)
        self._begin = torch.from_numpy(np.concatenate([[0], ends[:-1]])).to(device)
        self._length = torch.tensor([len(clip.samples) for clip in clips], device=device)
        self._rng = np.random.default_rng(plan.seed)
        weight = [repeat.get(clip.voice.split(":")[0], repeat["recorded"]) for clip in clips]
        group = [_group(len(clip.samples)) for clip in clips]
        self._groups = [
            np.repeat(
                [at for at, g in enumerate(group) if g == which],
                [w for w, g in zip(weight, group, strict=False) if g == which],
            )
            for which in range(len(LENGTHS))
        ]

    def batches(self) -> Iterator[tuple[np.ndarray, Tensor, Tensor, int]]:
        """Endless batches: indexes of the clips, samples, lengths, and the length to place them in."""
        while True:
            parts = []
            for which, members in enumerate(self._groups):
                size = max(4, int(self._plan.seconds / LENGTHS[which]))
                order = self._rng.permutation(members)
                parts += [(which, order[at : at + size]) for at in range(0, len(order), size)]
            for at in self._rng.permutation(len(parts)):
                which, chosen = parts[at]
                if len(chosen) >= 4:
                    yield chosen, *self._gather(chosen), int(LENGTHS[which] * RATE)

    def _gather(self, chosen: np.ndarray) -> tuple[Tensor, Tensor]:
        rows = torch.from_numpy(chosen).to(self._device)
        lengths = self._length[rows]
        at = torch.arange(int(lengths.max()), device=self._device)[None]
        index = (self._begin[rows][:, None] + at).clamp(max=len(self._flat) - 1)
        return torch.where(at < lengths[:, None], self._flat[index], 0), lengths


def _group(samples: int) -> int:
    need = samples / RATE / 0.86 + 0.15
    return next((at for at, length in enumerate(LENGTHS) if length >= need), len(LENGTHS) - 1)


def timed_labels(clip: Clip, begin: float, speed: float, frames: int) -> np.ndarray:
    """The class of each output frame from the engine's phone times, -1 outside."""
    labels = np.zeros(frames, np.int64)
    start = 0.0
    for unit, end in clip.times:
        first = int(np.ceil((begin + start * RATE / speed - 200) / OUT_STEP))
        last = int(np.ceil((begin + end * RATE / speed - 200) / OUT_STEP))
        first, last = max(first, 0), min(last, frames)
        labels[first:last] = 2 * UNIT_NUMBER[unit] + 1
        labels[first : min(first + 1, last)] = 2 * UNIT_NUMBER[unit]
        start = end
        if unit == "SIL":
            labels[first:last] = 1
    labels[max(last, 0) :] = 1
    labels[: max(0, int((begin - 200) / OUT_STEP))] = 1
    return labels


class Trainer:
    """The network, its optimizer and its averaged copy."""

    def __init__(
        self, shape: Shape, plan: Plan, device: torch.device, noise: list[np.ndarray], rooms: int
    ) -> None:
        torch.manual_seed(plan.seed)
        self.plan, self.device = plan, device
        self.network = Network(shape).to(device)
        self.shop = Shop(noise, device, plan.seed, rooms)
        self.mfcc = Mfcc(device)
        self._begin = time.monotonic()

    def features(self, clips: Tensor, lengths: Tensor, length: int) -> tuple[Tensor, Tensor, Tensor]:
        """Features of the augmented clips, with the start and speed of each clip."""
        with torch.no_grad():
            sound = self.shop.hear(clips, lengths, length)
            features = self.mfcc(sound.samples, sound.warp)
        return padded(features, self.network.shape.context), sound.begin, sound.speed

    def normalize(self, data: Data) -> None:
        """Estimate mean and standard deviation of the features from a few batches."""
        found = []
        for _, (_, clips, lengths, length) in zip(range(8), data.batches(), strict=False):
            found.append(self.features(clips, lengths, length)[0].reshape(-1, 40)[::7])
        every = torch.cat(found)
        self.network.mean.copy_(every.mean(0))
        self.network.scale.copy_(1 / every.std(0))

    def seed(self, data: Data) -> None:
        """Train on Flite's phone times."""
        loss_of = nn.CrossEntropyLoss(ignore_index=-1)

        def loss(chosen: np.ndarray, clips: Tensor, lengths: Tensor, length: int) -> Tensor:
            features, begin, speed = self.features(clips, lengths, length)
            out, aside = self.network(features)
            rows = zip(chosen, begin.tolist(), speed.tolist(), strict=True)
            labels = np.stack([timed_labels(data.clips[at], b, s, out.shape[1]) for at, b, s in rows])
            wanted = torch.from_numpy(labels).to(self.device).reshape(-1)
            return loss_of(out.reshape(-1, CLASSES), wanted) + loss_of(aside.reshape(-1, CLASSES), wanted)

        self._run("times", data, loss, self.plan.seed_steps, self.plan.seed_rate)

    def sequence(self, data: Data, graphs: list[Said], anything: Anything) -> nn.Module:
        """Train on whole utterances and return the averaged network."""
        average = AveragedModel(
            self.network,
            multi_avg_fn=torch.optim.swa_utils.get_ema_multi_avg_fn(self.plan.average),
            use_buffers=True,
        )

        def loss(chosen: np.ndarray, clips: Tensor, lengths: Tensor, length: int) -> Tensor:
            features, _, _ = self.features(clips, lengths, length)
            out, aside = self.network(features)
            batch = batched([graphs[at] for at in chosen], self.device)
            both = torch.cat([out, aside.log_softmax(2)])
            twice = type(batch)(*(torch.cat([one, one]) for one in vars(batch).values()))
            said, alone = said_score(both, twice).chunk(2)
            frames = out.shape[1]
            gain = (said - anything.score(out)) / frames
            fine = gain > -20
            size = 5e-4 * out.square().mean()
            return -(gain * fine).sum() / fine.sum() - self.plan.aside * alone.mean() / frames + size

        self._run("sequence", data, loss, self.plan.steps, self.plan.rate, average)
        return average.module

    def _run(
        self,
        name: str,
        data: Data,
        loss_of: Callable[..., Tensor],
        steps: int,
        rate: float,
        average: AveragedModel | None = None,
    ) -> None:
        optimizer = torch.optim.AdamW(self.network.parameters(), rate, weight_decay=1e-3)
        self.network.train()
        begin, losses = time.monotonic(), []
        until = self._begin + self.plan.minutes * 60
        for step, batch in zip(range(steps), data.batches(), strict=False):
            now = time.monotonic()
            # The rate falls with the steps or the clock, whichever is further along.
            done = max(step / steps, (now - begin) / (until - begin))
            if done >= 1:
                print(f"{name}: time is up after {step} steps", flush=True)
                break
            for group in optimizer.param_groups:
                group["lr"] = (
                    rate * min(1, (step + 1) / 200) * (0.01 + 0.99 * 0.5 * (1 + math.cos(math.pi * done)))
                )
            loss = loss_of(*batch)
            optimizer.zero_grad()
            loss.backward()
            norm = nn.utils.clip_grad_norm_(self.network.parameters(), 2.0)
            if bool(torch.isfinite(norm)):
                optimizer.step()
            if average is not None:
                average.update_parameters(self.network)
            losses.append(loss.detach())
            if len(losses) == max(1, steps // 20):
                mean = float(torch.stack(losses).mean())
                print(
                    f"{name} {step + 1}/{steps} loss {mean:.4f} {time.monotonic() - begin:.0f} s", flush=True
                )
                losses = []


def disguised(clips: list[Clip], known: frozenset[str], seed: int) -> list[tuple[str, ...]]:
    """The transcripts, with half of the out-of-vocabulary words replaced by the filler word."""
    rng = np.random.default_rng(seed)
    return [
        tuple(FILLER if word not in known and rng.random() < 0.5 else word for word in clip.words)
        for clip in clips
    ]


def take(network: Network, parts: Mapping[str, tuple[np.ndarray, np.ndarray]]) -> None:
    """Load the weights of a `final.mdl` of the same shape. Folded parameters (`folded`) stay folded, except the mean
    and scale of the features, which the network needs: they are removed from the first layer."""
    layers = {"first": network.first, "second.low": network.second, "second": network.second_up}
    for number, block in enumerate(network.blocks, 1):
        layers |= {f"block{number}.low": block.down, f"block{number}": block.up}
    layers |= {"out": network.out, "aside": network.aside}
    with torch.no_grad():
        for name, layer in layers.items():
            weights, bias = (torch.tensor(one) for one in parts["out" if name == "aside" else name])
            if name == "first":
                bias = bias + weights @ network.mean.cpu().repeat(5)
                weights = weights / network.scale.cpu().repeat(5)
            layer.weight.copy_(weights)
            if layer.bias is not None:
                layer.bias.copy_(bias)


def save(path: Path, network: nn.Module, shape: Shape) -> None:
    """Save weights and shape."""
    torch.save({"shape": asdict(shape), "weights": network.state_dict()}, path)


def load(path: Path) -> Network:
    """Load a network written by `save`, ready to run."""
    kept = torch.load(path, map_location="cpu", weights_only=True)
    network = Network(Shape(**kept["shape"]))
    network.load_state_dict(kept["weights"])
    network.eval()
    return network


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--speech", type=Path, required=True, help="folder of ZIPs from models.speak")
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--width", type=int, default=512)
    parser.add_argument("--bottleneck", type=int, default=96)
    parser.add_argument("--blocks", type=int, default=9)
    parser.add_argument("--seconds", type=float, default=400)
    parser.add_argument("--seed-steps", type=int, default=1500)
    parser.add_argument("--steps", type=int, default=5000)
    parser.add_argument("--minutes", type=float, default=600)
    parser.add_argument("--rate", type=float, default=1e-3, help="learning rate of the sequence training")
    parser.add_argument("--words", type=Path, default=HERE / "bench-en" / "graph" / "words.txt")
    parser.add_argument("--rooms", type=int, default=200)
    parser.add_argument("--onward", type=Path, help="continue from the acoustic model of this Vosk directory")
    args = parser.parse_args()
    device = torch.device("cuda" if torch.cuda.is_available() else "cpu")
    torch.backends.cuda.matmul.allow_tf32 = torch.backends.cudnn.allow_tf32 = True
    plan = Plan(args.seconds, args.seed_steps, args.steps, args.minutes, args.rate)
    shape = Shape(args.width, args.bottleneck, args.blocks)
    clips = [*synthetic(args.speech), *recorded()]
    prons = lexicon({word for clip in clips for word in clip.words})
    longest = max(LENGTHS) * RATE * 0.85
    clips = [clip for clip in clips if len(clip.samples) < longest]
    hours = sum(len(clip.samples) for clip in clips) / RATE / 3600
    print(f"{len(clips)} clips, {hours:.2f} h, {device}", flush=True)
    repeat = {"espeak": 1, "flite": 1, "hibari": 1, "kokoro": 3, "recorded": 8}
    trainer = Trainer(shape, plan, device, noises(), args.rooms)
    timed = Data([clip for clip in clips if clip.times], device, plan, repeat)
    trainer.normalize(timed)
    if args.onward:
        take(trainer.network, affines((args.onward / "am" / "final.mdl").read_bytes()))
    else:
        trainer.seed(timed)
    known = frozenset(line.split()[0] for line in args.words.read_text(encoding="utf-8").splitlines())
    texts = disguised(clips, known, plan.seed)
    prons[FILLER] = ((NOISE,),)
    graphs = [said_graph(words, prons) for words in texts]
    anything = Anything(texts, prons, device)
    network = trainer.sequence(Data(clips, device, plan, repeat), graphs, anything)
    save(args.out, network, shape)


if __name__ == "__main__":
    main()
