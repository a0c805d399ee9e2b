"""What is shipped against far longer sums, over all jobs that people wrote down.

The reference is the exact walk where it fits into memory, else a list of fault sets so long that
what is left is a hundred-thousandth, or as long as can be waited for.
"""

from __future__ import annotations

import numpy as np
import pytest

from diagnose.analysis.written import Written, written_jobs
from diagnose.belief import lattice, listing
from diagnose.belief.lattice import Lattice
from diagnose.belief.network import Evidence, Floats, Network
from diagnose.casebook.cases import load_cases
from diagnose.job.job_file import events_of
from diagnose.job.state import fold
from diagnose.knowledge.root import cases_root
from diagnose.reasoning.belief import Belief
from tests.real_pack import shop_reasoner

#: error of a chance of which nothing need be said
UNSAID = 1e-3

#: states carried at once that the reference may take
ROOM = 1_200_000

#: a job that says of itself that it is hard, and every so manieth other
HARD, EVERY = "case flea_market_special bench", 40


def all_jobs() -> list[Written]:
    knowledge = shop_reasoner().knowledge
    return written_jobs(knowledge, load_cases(cases_root(), knowledge))


def asked(written: Written) -> tuple[Network, Evidence]:
    """What a written job asks of the belief."""
    reasoner = shop_reasoner()
    job = fold(events_of(written.job, reasoner.knowledge)[0])
    belief = Belief(reasoner, job)
    return belief.network, belief.evidence


def chances(belief: Lattice) -> Floats:
    total, joint = belief.marginals()
    return np.asarray(joint[0] / total[0])


def far_longer(network: Network, evidence: Evidence, width: int) -> Lattice:
    with pytest.MonkeyPatch.context() as patch:
        if width <= ROOM:
            patch.setattr(lattice, "EXACT", ROOM)
        patch.setattr(listing, "OPENED", 60_000)
        patch.setattr(listing, "ENOUGH", 1e-5)
        return Lattice(network, evidence)


def check(jobs: list[Written]) -> None:
    """No chance is wrong by more than may go unsaid, unless the slack says so."""
    slacks, worst, listed, loose = [], (0.0, ""), 0, []
    for written in jobs:
        network, evidence = asked(written)
        shipped = Lattice(network, evidence)
        slacks.append(shipped.slack)
        if shipped.slack == 0.0:
            continue
        listed += 1
        reference = far_longer(network, evidence, shipped.widest)
        mine = chances(shipped)
        error = float(np.abs(mine - chances(reference)).max())
        worst = max(worst, (error, written.name))
        if reference.slack > 1e-5:
            loose.append(f"{written.name} (its reference is bounded by {reference.slack:.0e})")
        assert error <= max(UNSAID, shipped.slack), f"{written.name}: wrong by {error:.1e}"
        assert error <= shipped.slack + reference.slack, f"{written.name}: the slack is no bound"
        assert mine.max() <= 1.0, f"{written.name}: a chance over 1"
    median, most, top = np.percentile(slacks, [50, 95, 100])
    print(f"\n{len(jobs)} jobs, {listed} listed; slack median {median:.1e} p95 {most:.1e}", end=" ")
    print(f"max {top:.1e}; worst error {worst[0]:.1e} in {worst[1]}; less sure: {loose or 'none'}")
    assert listed


def test_no_chance_of_a_sample_of_written_jobs_is_silently_wrong() -> None:
    jobs = all_jobs()
    check([job for n, job in enumerate(jobs) if n % EVERY == 0 or job.name == HARD])


@pytest.mark.long
def test_no_chance_of_any_written_job_is_silently_wrong() -> None:
    check(all_jobs())
