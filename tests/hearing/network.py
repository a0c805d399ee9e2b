"""The network as it is trained; diagnose/complaint/encoder.py and trained.py do the same in numpy.

Source: Devlin et al. 2019; a finding's look over the text, Bahdanau et al. 2015.
"""

from __future__ import annotations

import torch
from torch import Tensor, nn
from torch.nn import functional

from tests.hearing.examples import Labels
from tests.hearing.start_weights import LAYERS, PLACES, start_weights

__all__ = ["LABEL_PARTS", "Network"]

LABEL_PARTS = ("att.weight", "att.bias", "cls", "bias")

_SIZE, _HEADS, _INNER, _TINY = 384, 12, 1536, 1e-12
_DROPPED, _DROPPED_BEFORE_LABELS = 0.1, 0.2
#: log-odds of a state before anything is learnt
_RARE = -4.0


class _Layer(nn.Module):
    def __init__(self) -> None:
        super().__init__()
        self.q, self.k, self.v, self.o = (nn.Linear(_SIZE, _SIZE) for _ in range(4))
        self.i, self.d = nn.Linear(_SIZE, _INNER), nn.Linear(_INNER, _SIZE)
        self.ln1, self.ln2 = (nn.LayerNorm(_SIZE, eps=_TINY) for _ in range(2))
        self.drop = nn.Dropout(_DROPPED)

    def forward(self, x: Tensor, there: Tensor) -> Tensor:
        texts, pieces, size = x.shape
        q, k, v = (
            part(x).view(texts, pieces, _HEADS, size // _HEADS).transpose(1, 2)
            for part in (self.q, self.k, self.v)
        )
        taken = functional.scaled_dot_product_attention(
            q, k, v, attn_mask=there, dropout_p=_DROPPED if self.training else 0.0
        )
        taken = taken.transpose(1, 2).reshape(texts, pieces, size)
        x = self.ln1(x + self.drop(self.o(taken)))
        return self.ln2(x + self.drop(self.d(functional.gelu(self.i(x)))))


class Network(nn.Module):
    """From numbers of pieces to a score for each state, and where each finding looks.

    Parameters
    ----------
    gap : number that fills up shorter texts.
    """

    def __init__(self, labels: Labels, vocabulary: int, gap: int) -> None:
        super().__init__()
        self._gap = gap
        self.word = nn.Embedding(vocabulary, _SIZE)
        self.pos = nn.Parameter(torch.zeros(PLACES, _SIZE))
        self.ln = nn.LayerNorm(_SIZE, eps=_TINY)
        self.layers = nn.ModuleList(_Layer() for _ in range(LAYERS))
        self.drop = nn.Dropout(_DROPPED_BEFORE_LABELS)
        self.att = nn.Linear(_SIZE, len(labels.states))
        self.cls = nn.Parameter(torch.zeros(labels.start[-1], _SIZE))
        self.bias = nn.Parameter(torch.full((labels.start[-1],), _RARE))
        self.register_buffer("finding", _finding_of_states(labels), persistent=False)
        begun, _ = start_weights()
        loaded = self.load_state_dict(
            {name: torch.from_numpy(x) for name, x in begun.items()}, strict=False
        )
        # only what speaks of the labels has no start
        if loaded.unexpected_keys or set(loaded.missing_keys) != set(LABEL_PARTS):
            raise SystemExit(f"the start weights are of another network: {loaded}")

    def encoded(self, numbers: Tensor) -> Tensor:
        """(texts, pieces, size) vectors of the pieces."""
        there = (numbers != self._gap)[:, None, None, :]
        x = self.ln(self.word(numbers) + self.pos[: numbers.shape[1]])
        for layer in self.layers:
            x = layer(x, there)
        return x

    def forward(self, numbers: Tensor) -> tuple[Tensor, Tensor]:
        """(texts, states) scores; (texts, pieces, findings) looks before they are shared out."""
        x = self.drop(self.encoded(numbers))
        look = self.att(x).masked_fill(~(numbers != self._gap)[..., None], -1e4)
        about = torch.einsum("btf,bth->bfh", look.softmax(1), x)
        return torch.einsum("blh,lh->bl", about[:, self.finding], self.cls) + self.bias, look

    def log_chances(self, score: Tensor) -> Tensor:
        """(texts, states + findings) log chance of each state, then of 'not said'."""
        shape = score.shape[0], self.att.out_features
        where = self.finding.expand(shape[0], -1)
        # 'not said' scores 0
        top = torch.zeros(shape, device=score.device).scatter_reduce(
            1, where, score, "amax", include_self=True
        )
        every = (
            torch.zeros_like(top).scatter_add(1, where, (score - top[:, self.finding]).exp())
            + (-top).exp()
        )
        total = every.log() + top
        return torch.cat([score - total[:, self.finding], -total], 1)

    @torch.no_grad()
    def begin(self, shown: list[tuple[Tensor, list[list[int]]]]) -> None:
        """Labels begin at the mean vector of their sayings.

        Parameters
        ----------
        shown : batches: (texts, pieces) numbers, and for each text the states that it says.
        """
        self.eval()
        nn.init.zeros_(self.att.weight)
        nn.init.zeros_(self.att.bias)
        total = torch.zeros_like(self.cls)
        count = torch.zeros_like(self.bias)
        for numbers, states in shown:
            there = (numbers != self._gap)[..., None]
            mean = (self.encoded(numbers) * there).sum(1) / there.sum(1)
            for text, said in enumerate(states):
                for state in said:
                    total[state] += mean[text]
                    count[state] += 1
        mean = total / count.clamp(min=1)[:, None]
        apart = mean - mean.mean(0)
        self.cls.data = 6 * apart / (apart * apart).sum(1, keepdim=True).clamp(min=1e-3)
        self.bias.data = _RARE - (self.cls.data * mean.mean(0)).sum(1)


def _finding_of_states(labels: Labels) -> Tensor:
    """(states,) place of each state's finding."""
    return torch.tensor([n for n, states in enumerate(labels.states.values()) for _ in states])
