"""Fine-tunes the original model: `python -m models.whisper.train --weights MODEL.bin --speech FOLDER --out FOLDER`

Every batch is placed in windows of random length and augmented to sound like a microphone in a shop. Embeddings and
positions are not trained. The running average of the weights is saved as .npz files in `--out`.

`--consistency` adds a loss that keeps the encoder output near that of the original model for the clean speech. The
encoder learns to ignore noise without forgetting the many voices of its original training.
"""

from __future__ import annotations

import argparse
import copy
import math
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import tokenizers
import torch
import torch.nn.functional as F
from torch import Tensor

from models.augment import RATE, Shop
from models.corpus import Clip, noises, synthetic
from models.shop_noise import made
from models.speak import read_speech
from models.whisper import sets
from models.whisper.network import EMBEDDINGS, LogMel, Network, arrays_of
from models.whisper.pieces import pieces
from models.whisper.text import written
from models.whisper.transcriber import END, PLAIN, START, STEP
from models.whisper.weights import as_float, as_int8, read, restored

SHARES = {"recorded": 0.4, "pieces": 0.24, "kokoro": 0.3, "hibari": 0.12, "espeak": 0.1, "flite": 0.08}
"""Proportions of clips from people, their segments, and each engine, renormalized when one is missing."""
RATIO = (-5.0, 25.0)
"""Signal-to-noise ratios in training, in decibels."""
WINDOWS = (200, 250, 300, 350, 400, 450, 500, 600, 700, 800, 1000, 1440)
"""Window lengths in frames. Only a few, because each new length is slow at first on the accelerator."""
SHORTEST, LONGEST = WINDOWS[0], WINDOWS[-1]
SLOWEST = 0.86
EMPTY = 0.03
"""Fraction of windows without speech and with an empty transcript."""
CUT = 0.6
"""Fraction of windows in which the sound ends soon after the words, like the segments given to the model."""
SINGLE = 2.0
"""How much more often an isolated word is trained than a longer phrase, because it has no context."""
SMOOTHING = 0.03
PARTS = 4
"""Number of output files."""


@dataclass(frozen=True, eq=False)
class Corpus:
    """All clips on the accelerator: concatenated samples, tokens padded with END, and each clip's probability."""

    samples: Tensor
    begins: Tensor
    lengths: Tensor
    tokens: Tensor
    sizes: Tensor
    weights: Tensor


def load(folder: Path, tokenizer: Path, device: torch.device, in_pieces: bool = False) -> Corpus:
    """All clips of the ZIPs in a folder and, if requested, segments of the recorded people among them."""
    clips = synthetic(folder)
    if in_pieces:
        clips += pieces([clip for clip in clips if _kind(clip) == "recorded" and clip.times], seed=1)
    clips = [clip for clip in clips if len(clip.samples) / SLOWEST + 3200 < LONGEST * STEP]
    kinds = list(map(_kind, clips))
    counts = {kind: kinds.count(kind) for kind in set(kinds)}
    print({kind: (count, round(_hours(clips, kinds, kind), 2)) for kind, count in counts.items()}, flush=True)
    ids = texts(tokenizer, clips)
    width = max(map(len, ids))
    single = [SINGLE if len(clip.words) == 1 else 1.0 for clip in clips]
    shares = [SHARES[kind] / counts[kind] * more for kind, more in zip(kinds, single, strict=True)]
    lengths = torch.tensor([len(clip.samples) for clip in clips], device=device)
    return Corpus(
        torch.tensor(np.concatenate([clip.samples for clip in clips]), device=device),
        lengths.cumsum(0) - lengths,
        lengths,
        torch.tensor([one + [END] * (width - len(one)) for one in ids], device=device),
        torch.tensor([len(one) for one in ids], device=device),
        torch.tensor(shares, device=device),
    )


def _kind(clip: Clip) -> str:
    source = clip.voice.split(":")[0]
    return source if source in SHARES else "recorded"


def _hours(clips: Sequence[Clip], kinds: Sequence[str], kind: str) -> float:
    return sum(len(clip.samples) for clip, one in zip(clips, kinds, strict=True) if one == kind) / RATE / 3600


def texts(tokenizer: Path, clips: Sequence[Clip]) -> list[list[int]]:
    """The tokens of each clip's text."""
    tool = tokenizers.Tokenizer.from_file(str(tokenizer))
    return [
        one.ids
        for one in tool.encode_batch([written(clip.words) for clip in clips], add_special_tokens=False)
    ]


class Batches:
    """Endless batches: features, clean features, input tokens, target tokens (-100 where there is none)."""

    def __init__(self, corpus: Corpus, size: int, device: torch.device, seed: int) -> None:
        self._corpus, self._size, self._device = corpus, size, device
        self._shop = Shop([*noises(), *(4000 * one for one in made(180, seed))], device, seed, ratio=RATIO)
        self._random = torch.Generator(device).manual_seed(seed)
        self._choose = np.random.default_rng(seed)
        self._mel = LogMel().to(device)

    def __iter__(self) -> Iterator[tuple[Tensor, Tensor, Tensor, Tensor]]:
        while True:
            yield self._batch()

    def _batch(self) -> tuple[Tensor, Tensor, Tensor, Tensor]:
        corpus = self._corpus
        frames = WINDOWS[int(len(WINDOWS) * self._choose.random() ** 1.3)]
        room = frames * STEP
        weights = torch.where(corpus.lengths / SLOWEST + 1600 < room, corpus.weights, 0.0)
        some = torch.multinomial(weights, self._size, replacement=True, generator=self._random)
        lengths = corpus.lengths[some]
        at = torch.arange(int(lengths.max()), device=self._device)
        inside = at[None] < lengths[:, None]
        place = (corpus.begins[some][:, None] + at[None]).clamp(max=len(corpus.samples) - 1)
        clips = corpus.samples[place].float() * inside
        empty = self._chance(EMPTY)
        clips = torch.where(empty[:, None], clips * 0.001, clips)
        sound = self._shop.hear(clips, lengths, room)
        both = torch.stack([sound.samples, sound.clean], 1)
        heard, clean = self._ended(both, sound.begin, lengths / sound.speed).unbind(1)
        mel = self._masked(self._mel(heard, sound.warp))
        return (mel, self._mel(clean + torch.randn_like(clean), sound.warp), *self._wanted(some, empty))

    def _ended(self, heard: Tensor, begin: Tensor, lengths: Tensor) -> Tensor:
        """Some of the sounds [batch, versions, length] moved to the beginning of the window, nothing after them."""
        before = torch.minimum(begin, self._between(0.05, 0.6) * RATE)
        first = torch.where(self._chance(CUT), (begin - before).round(), -1.0)
        last = begin + lengths + self._between(0.1, 0.7) * RATE
        size = heard.shape[2]
        moved = torch.arange(size, device=self._device)[None] + first.clamp(min=0).long()[:, None]
        kept = (moved < last[:, None]) & (moved < size)
        cut = heard.gather(2, moved.clamp(max=size - 1)[:, None].expand_as(heard)) * kept[:, None]
        return torch.where((first >= 0)[:, None, None], cut, heard)

    def _masked(self, mel: Tensor) -> Tensor:
        """Mask a frequency band in half of the clips."""
        bands = mel.shape[1]
        low = self._between(0, bands - 12)[:, None]
        wide = torch.where(self._chance(0.5), self._between(0, 12), 0.0)[:, None]
        band = torch.arange(bands, device=self._device)[None]
        hidden = (band >= low) & (band < low + wide)
        return torch.where(hidden[..., None], mel.mean((1, 2), keepdim=True), mel)

    def _wanted(self, some: Tensor, empty: Tensor) -> tuple[Tensor, Tensor]:
        sizes = torch.where(empty, 0, self._corpus.sizes[some])
        width = int(sizes.max())
        tokens = self._corpus.tokens[some][:, :width]
        at = torch.arange(width, device=self._device)[None]
        tokens = torch.where(at < sizes[:, None], tokens, END)
        return teach(tokens, sizes)

    def _between(self, low: float, high: float) -> Tensor:
        return low + (high - low) * torch.rand(self._size, generator=self._random, device=self._device)

    def _chance(self, share: float) -> Tensor:
        return self._between(0, 1) < share


def teach(tokens: Tensor, sizes: Tensor) -> tuple[Tensor, Tensor]:
    """The decoder's input and target tokens for texts [batch, width] with `sizes` tokens."""
    count, width = tokens.shape
    opening = torch.tensor([[START, PLAIN]], device=tokens.device).expand(count, 2)
    given = torch.cat([opening, tokens], 1)
    wanted = torch.cat(
        [torch.full_like(opening[:, :1], -100), tokens, torch.full_like(opening[:, :1], END)], 1
    )
    at = torch.arange(width + 2, device=tokens.device)[None]
    return given, torch.where(at <= sizes[:, None] + 1, wanted, -100)


class Examination:
    """Held-out clips. Single words are chosen among their set; other clips must be transcribed exactly."""

    def __init__(self, path: Path, tokenizer: Path, device: torch.device) -> None:
        self._device, self._mel = device, LogMel().to(device)
        clips = [Clip(tuple(row["words"]), row["voice"], samples) for row, samples in read_speech(path)]
        names = dict.fromkeys(clip.voice for clip in clips)
        self._sets = {name: [clip for clip in clips if clip.voice == name] for name in names}
        self._ids = {name: texts(tokenizer, some) for name, some in self._sets.items()}

    def __call__(self, network: Network) -> str:
        """The sets by name, each with its accuracy at each noise level."""
        with torch.no_grad():
            return self._measured(network)

    def _measured(self, network: Network) -> str:
        found = []
        for name, clips in self._sets.items():
            ids = self._ids[name]
            choices = sorted(set(map(tuple, ids))) if all(len(clip.words) == 1 for clip in clips) else []
            right = []
            for level in sets.LEVELS:
                spoiled = sets.noisy(clips, level)
                count = sum(self._right(network, *one, choices) for one in zip(spoiled, ids, strict=True))
                right.append(f"{100 * count / len(clips):.1f}")
            found.append(f"{name} (n {len(clips)}) {' / '.join(right)}")
        return "; ".join(found)

    def _right(self, network: Network, clip: Clip, ids: list[int], choices: list[tuple[int, ...]]) -> bool:
        frames = max(SHORTEST, -(-len(clip.samples) // STEP) + 30) // 2 * 2
        sound = np.zeros((1, frames * STEP), np.float32)
        kept = clip.samples[: frames * STEP]
        sound[0, : len(kept)] = kept
        some = [list(one) for one in choices] or [ids]
        sizes = torch.tensor([len(one) for one in some], device=self._device)
        tokens = [one + [END] * (int(sizes.max()) - len(one)) for one in some]
        given, wanted = teach(torch.tensor(tokens, device=self._device, dtype=torch.long), sizes)
        with torch.autocast(self._device.type, torch.bfloat16, enabled=self._device.type == "cuda"):
            heard = network.encode(self._mel(torch.tensor(sound, device=self._device)))
            scores = network.decode(given, heard.expand(len(some), -1, -1)).float()
        if not choices:
            return bool((scores.argmax(-1)[0, 1:] == wanted[0, 1:]).all())
        costs = F.cross_entropy(scores.transpose(1, 2), wanted, ignore_index=-100, reduction="none").sum(1)
        return choices[int(costs.argmin())] == tuple(ids)


def train(
    network: Network, batches: Batches, args: argparse.Namespace, examine: Examination | None
) -> Network:
    """The averaged network after `args.steps` steps or `args.seconds`. The learning rate decays to zero."""
    begin, mean = time.monotonic(), copy.deepcopy(network)
    parameters: list[Tensor] = [one for one in network.parameters() if one.requires_grad]
    averaged: list[Tensor] = [one for one in mean.parameters() if one.requires_grad]
    device = parameters[0].device
    optimizer = torch.optim.AdamW(parameters, lr=args.rate, betas=(0.9, 0.98), weight_decay=0.01, fused=True)
    total = torch.zeros((), device=device)
    before = copy.deepcopy(network).requires_grad_(False) if args.consistency else None
    for step, (mel, clean, given, wanted) in enumerate(batches, 1):
        gone = min(1.0, max(step / args.steps, (time.monotonic() - begin) / args.seconds))
        for group in optimizer.param_groups:
            group["lr"] = args.rate * min(1, step / 200) * 0.5 * (1 + math.cos(math.pi * gone))
        with torch.autocast(device.type, torch.bfloat16, enabled=device.type == "cuda"):
            heard = network.encode(mel)
            scores = network.decode(given, heard)
        loss = F.cross_entropy(
            scores.float().flatten(0, 1), wanted.flatten(), ignore_index=-100, label_smoothing=SMOOTHING
        )
        if before is not None:
            loss = loss + args.consistency * apart(heard, before, clean, spoken=wanted[:, 1] != END)
        optimizer.zero_grad(set_to_none=True)
        loss.backward()  # type: ignore[no-untyped-call, unused-ignore]
        torch.nn.utils.clip_grad_norm_(parameters, 1.0)
        optimizer.step()
        with torch.no_grad():
            total += loss
            torch._foreach_lerp_(averaged, parameters, 0.001 if step > 1000 else 0.01)
        if step % args.every == 0:
            print(
                f"{step} {time.monotonic() - begin:.0f} s, loss {float(total) / args.every:.3f}", flush=True
            )
            total.zero_()
        if examine is not None and (step % (10 * args.every) == 0 or gone >= 1):
            print("   ", examine(mean), flush=True)
        if gone >= 1:
            break
    return mean


def apart(heard: Tensor, before: Network, clean: Tensor, spoken: Tensor) -> Tensor:
    """The distance of the encoder output for noisy sound from the original encoder's output for clean sound.

    Mean squared difference relative to the variance over time. Clips without speech do not count.
    """
    with torch.no_grad(), torch.autocast(heard.device.type, torch.bfloat16, enabled=heard.is_cuda):
        target = before.encode(clean).float()
    square = (heard.float() - target).square().mean((1, 2))
    return (square * spoken).mean() / target.var(1).mean()


def save(folder: Path, network: Network) -> None:
    """Save the trained arrays as 16-bit floating point in `PARTS` files of similar size."""
    folder.mkdir(parents=True, exist_ok=True)
    parts: list[dict[str, np.ndarray]] = [{} for _ in range(PARTS)]
    arrays = arrays_of(
        {key: value for key, value in network.state_dict().items() if key.startswith("arrays")}
    )
    for name, array in sorted(arrays.items(), key=lambda item: -item[1].size):
        smallest = min(parts, key=lambda part: sum(one.size for one in part.values()))
        smallest[name.replace("/", "|")] = array.astype(np.float16)
    for number, part in enumerate(parts):
        np.savez(folder / f"part-{number}.npz", **part)  # type: ignore[arg-type]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--weights", type=Path, required=True, help="model.bin of the untouched model")
    parser.add_argument("--tokenizer", type=Path, required=True, help="tokenizer.json")
    parser.add_argument("--onward", type=Path, help="folder of an earlier result to continue from")
    parser.add_argument("--speech", type=Path, required=True)
    parser.add_argument(
        "--pieces", action="store_true", help="also train on recombined segments of people's sentences"
    )
    parser.add_argument("--held-out", type=Path, help="ZIP of models.whisper.sets")
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--steps", type=int, default=2800)
    parser.add_argument("--seconds", type=float, default=1e9)
    parser.add_argument("--rate", type=float, default=4e-5)
    parser.add_argument(
        "--consistency",
        type=float,
        default=0.0,
        help="weight of the loss that keeps the encoder near clean speech",
    )
    parser.add_argument("--batch", type=int, default=160)
    parser.add_argument("--every", type=int, default=100, help="steps between reports")
    parser.add_argument("--seed", type=int, default=1)
    args = parser.parse_args()
    torch.manual_seed(args.seed)
    torch.set_float32_matmul_precision("high")
    device = torch.device("cuda" if torch.cuda.is_available() else "cpu")
    untouched = read(args.weights)
    # Train with the embeddings as they will be stored.
    arrays = as_float(untouched) | {EMBEDDINGS: as_float(as_int8(untouched))[EMBEDDINGS]}
    arrays |= restored(args.onward) if args.onward else {}
    network = Network(arrays).to(device)
    examine = Examination(args.held_out, args.tokenizer, device) if args.held_out else None
    if examine is not None:
        print("before:", examine(network), flush=True)
    batches = Batches(load(args.speech, args.tokenizer, device, args.pieces), args.batch, device, args.seed)
    save(args.out, train(network, batches, args, examine))


if __name__ == "__main__":
    main()
