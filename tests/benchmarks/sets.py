"""How far the tables of fault sets are from far more sets: what a plan costs, and which is best.

`listed` are the likeliest few that look ahead, `table` all sets of up to two causes and some
triples, which decide.
Compared with them all and every set of three to five of the likeliest causes.
"""

from __future__ import annotations

from itertools import combinations

import numpy as np

from diagnose.analysis.written import Caller, written_jobs
from diagnose.belief.hypotheses import Hypotheses, SetTable
from diagnose.belief.network import Floats
from diagnose.casebook.cases import load_cases
from diagnose.job.job_file import events_of
from diagnose.job.state import fold
from diagnose.knowledge.loader import load
from diagnose.knowledge.root import cases_root, knowledge_root
from diagnose.reasoning.belief import Belief

#: causes of which every set of three to five is weighed, sets kept, every how many-th written job
_TOP, _KEPT, _EVERY = 24, 12_000, 37


def far_more(belief: Belief) -> Hypotheses:
    """The heaviest of all pairs and of all sets of three to five of the likeliest causes."""
    names = belief.prepared.compiled.causes
    top = [names.index(cause) for cause in list(belief.causes)[:_TOP]]
    larger = []
    for size in (3, 4, 5):
        chosen = np.array(list(combinations(top, size)))
        rows = np.zeros((len(chosen), len(names)), dtype=bool)
        rows[np.arange(len(rows))[:, None], chosen] = True
        larger.append(rows)
    table = SetTable(belief.prepared.compiled.network)
    table.present = np.concatenate([belief.sets[0].present, *larger])
    return table.posterior(belief.network, belief.evidence, keep=1.0, most=_KEPT)


def main() -> None:
    """Print the table."""
    caller = Caller(load(knowledge_root()))
    model = caller.cost_model
    written = written_jobs(caller.knowledge, load_cases(cases_root(None), caller.knowledge))
    rows: dict[str, list[Floats]] = {"listed": [], "table": []}
    for job in written[3::_EVERY]:
        belief = Belief(caller, fold(events_of(job.job, caller.knowledge)[0]))
        exact = np.array([belief.causes[cause] for cause in caller.compiled.causes])
        true = far_more(belief)
        costs = true.weights @ model.costs(true.present)
        best = int(np.argmin(costs))
        for name, parts in (("listed", (belief.hypotheses,)), ("table", belief.sets)):
            here = sum((p.weights @ model.costs(p.present) for p in parts), np.zeros(1))
            chances = sum((p.weights @ p.present for p in parts), np.zeros(1))
            right = model.plans[int(np.argmin(here))].stages == model.plans[best].stages
            off = np.abs(chances - exact).max()
            rows[name].append(np.array([abs(here[best] - costs[best]), right, off]))
    for name, found in rows.items():
        cost, right, off = np.mean(found, axis=0)
        print(
            f"{name}: cost of the best plan off by {cost:.2f}, the same plan best in {right:.0%},"
            f" chance of a cause off by {off:.2%} at most ({len(found)} jobs)"
        )


if __name__ == "__main__":
    main()
