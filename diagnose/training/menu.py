"""What is offered at one moment: seven things to do, the good and the tempting, in any order.

Rules
-----
- The list follows from the evidence and the seed, never from the truth: it gives nothing away.
- Among the seven are the best few, some that would do, some that would not, what the gate forbids,
  and opening the shock. All others come on further sheets.
"""

from __future__ import annotations

import random

from diagnose.knowledge.models import Symptom
from diagnose.training.moment import LOOK, Moment

__all__ = ["OPEN", "SHEET", "choices", "everything", "openings"]

#: things to do on one sheet
SHEET = 7

#: before the stage in the id of opening the shock
OPEN = "open:"

_BEST, _FAR, _FORBIDDEN = 3, 1, 1
_NEAR_RANKS = 30


def openings(moment: Moment) -> list[str]:
    """Ids of opening the shock, one for each stage that does."""
    stages = moment.coach.knowledge.stages.values()
    opening = sorted((stage for stage in stages if stage.opens), key=lambda stage: stage.rank)
    return [f"{OPEN}{stage.id}" for stage in opening]


def choices(moment: Moment, seed: int, count: int, sheet: int = 0) -> list[str]:
    """Ids on one sheet, in shuffled order.

    Parameters
    ----------
    seed : of the scenario. count : steps taken so far. sheet : 0 the seven, then the others.
    """
    rng = random.Random(f"{seed}:{count}")
    first = _first(moment, rng)
    if sheet == 0:
        return first
    rest = [ident for ident in everything(moment) if ident not in first]
    sheets = max(1, -(-len(rest) // SHEET))
    start = SHEET * ((sheet - 1) % sheets)
    return rest[start : start + SHEET]


def _first(moment: Moment, rng: random.Random) -> list[str]:
    ranked = sorted(moment.values, key=lambda ident: (moment.values[ident], ident))
    near, far = ranked[_BEST:_NEAR_RANKS], ranked[_NEAR_RANKS:]
    forbidden = sorted(moment.forbidden)
    chosen = [*([] if moment.looked else [LOOK]), rng.choice(openings(moment)), *ranked[:_BEST]]
    if moment.best_id is not None:
        chosen.append(moment.best_id)
    chosen += rng.sample(forbidden, min(_FORBIDDEN, len(forbidden)))
    chosen += rng.sample(far, min(_FAR, len(far)))
    chosen += rng.sample(near, len(near))
    chosen = list(dict.fromkeys(chosen))[:SHEET]
    rng.shuffle(chosen)
    return chosen


def everything(moment: Moment) -> list[str]:
    """All that can be done: questions, looks, the bench, each by name, then what was done."""
    coach = moment.coach

    def place(ident: str) -> tuple[bool, bool, str]:
        card = coach.card(ident)
        if isinstance(card, Symptom):
            return False, False, card.question.lower()
        return True, card.at == "bench", card.name.lower()

    new = sorted([*moment.values, *moment.forbidden], key=place)
    done = [ask for ask, _ in moment.view.job.reports if ask not in moment.values]
    return [*new, *openings(moment), LOOK, *dict.fromkeys(done)]
