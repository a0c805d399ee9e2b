"""Exact belief: times, growth, errors, memory, and ratios to general-purpose programs.

``python -m tests.benchmarks.belief`` prints what it can: the peers' lines need pyagrum and pgmpy
(``outside`` extra). Every line of one run is measured on the same machine in the same minute; all
answer the same questions on the same network. ``--most 18`` measures errors up to 18 positives
(minutes: the reference has 60 digits).
"""

from __future__ import annotations

import argparse
import gc
import os
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np

from diagnose.belief import lattice
from diagnose.belief.lattice import Lattice
from diagnose.belief.network import Floats, Network
from tests.belief.reference import random_network, seen, signed_sums

NEGATIVE = 9
Evidence = dict[int, Floats]


def best(work: Callable[[], Any], times: int = 5) -> float:
    """Shortest of some runs [ms]: the one that others disturbed least."""
    gc.collect()
    spans = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        spans.append(time.perf_counter() - start)
    return 1e3 * min(spans)


def spread(values: list[float]) -> str:
    return f"{np.median(values):8.2f} ms median {max(values):8.2f} ms worst"


def evidences(network: Network, positive: int, count: int) -> list[Evidence]:
    return [
        seen(np.random.default_rng(1000 * positive + s), network, positive, NEGATIVE)
        for s in range(count)
    ]


def alone(network: Network) -> None:
    print("positives   posteriors                                widest")
    for positive in (0, 2, 4, 6, 8, 10, 12, 14, 16, 18, 20):
        some = evidences(network, positive, 10)
        first = [best(lambda e=e: Lattice(network, e).marginals()) for e in some]
        widest = max(Lattice(network, e).widest for e in some)
        print(f"{positive:6d}   {spread(first)}   {widest:6d}")


def growth() -> None:
    print("causes x findings, 6 positives   posteriors")
    for causes, findings in ((60, 150), (120, 400), (240, 1200), (600, 4000)):
        network = random_network(np.random.default_rng(5), causes, findings)
        evidence = evidences(network, 6, 1)[0]
        first = best(lambda: Lattice(network, evidence).marginals())  # noqa: B023
        print(f"{causes:6d} x {findings:5d} {first:10.2f} ms")
    if sys.platform == "linux":
        peak = Path("/proc/self/status").read_text().split("VmHWM:")[1].split()[0]
        print(f"peak memory of this process {int(peak) / 1e3:.0f} MB")


def errors(network: Network, most: int) -> None:
    print("positives   largest error of any posterior against 60 digits")
    for positive in range(0, most + 1, 2):
        worst = 0.0
        for evidence in evidences(network, positive, 3 if positive <= 10 else 1):
            total, joint = Lattice(network, evidence).marginals()
            whole, parts = signed_sums(network, evidence)
            pairs = zip(joint[0], parts, strict=True)
            worst = max(worst, *(abs(float(j / total[0] - p / whole)) for j, p in pairs))
        print(f"{positive:6d}   {worst:.1e}")


def bounded() -> None:
    """Dense knowledge and vague evidence, with the list of fault sets in the place of the sum."""
    rng = np.random.default_rng(3)
    network = random_network(rng, 120, 100, (5, 40), most_states=3)
    network = network.with_odds(network.odds * 0.15)
    print("vague findings   states tied   exact ms   bounded ms   bound   error")
    for count in (6, 8, 10, 12, 14, 20):
        chosen = rng.choice(100, count, replace=False)
        evidence = {}
        for f in chosen.tolist():
            states = network.findings[f].states
            rising = np.linspace(0.1, 1.0, states)
            evidence[f] = rising if rng.random() < 0.4 else rising[::-1]
        lattice.EXACT = 0
        listed = Lattice(network, evidence)
        ours = best(lambda: Lattice(network, evidence).marginals(), 3)  # noqa: B023
        total, joint = listed.marginals()
        line = f"{count:6d} {listed.widest:16d}"
        if listed.widest <= 200_000:
            lattice.EXACT = 200_000
            theirs = best(lambda: Lattice(network, evidence).marginals(), 2)  # noqa: B023
            whole, parts = Lattice(network, evidence).marginals()
            error = np.abs(joint[0] / total[0] - parts[0] / whole[0]).max()
            print(f"{line} {theirs:10.1f} {ours:10.1f}   {listed.slack:.0e}   {error:.0e}")
        else:
            print(f"{line}       none {ours:10.1f}   {listed.slack:.0e}   not known")


def pyagrum_model(network: Network) -> Any:
    """The weight of the empty set is left out: the peer's answers need no such node."""
    import pyagrum

    model = pyagrum.BayesNet()
    for cause, odds in zip(network.causes, network.odds, strict=True):
        model.add(pyagrum.LabelizedVariable(cause, cause, 2))
        model.cpt(cause).fillWith([1.0 / (1.0 + odds), odds / (1.0 + odds)])
    for table in network.findings:
        # the compound gate takes strengths that hold the leak
        leak = float(table.leak[0])
        model.addNoisyORCompound(pyagrum.LabelizedVariable(table.name, table.name, 2), leak)
        for i, strength in zip(table.parents, table.at_least[:, 0], strict=True):
            with_leak = 1.0 - (1.0 - leak) * (1.0 - float(strength))
            model.addWeightedArc(network.causes[i], table.name, with_leak)
    return model


def pyagrum_posteriors(model: Any, network: Network, evidence: Evidence) -> Floats:
    import pyagrum

    inference = pyagrum.LazyPropagation(model)
    inference.setTargets(set(network.causes))
    given = {network.findings[f].name: int(row[1] > 0.0) for f, row in evidence.items()}
    inference.setEvidence(given)
    inference.makeInference()
    return np.array([inference.posterior(cause)[1] for cause in network.causes])


def against_pyagrum(network: Network) -> None:
    import pyagrum

    network = Network(network.causes, network.odds, 1.0, network.findings)
    model = pyagrum_model(network)
    print(f"pyAgrum {pyagrum.__version__}, same questions   theirs   ours   ratio   differ by")
    for positive in (2, 6, 10, 14, 18):
        theirs, ours, apart = [], [], 0.0
        for e in evidences(network, positive, 6):
            theirs.append(best(lambda e=e: pyagrum_posteriors(model, network, e), 2))
            ours.append(best(lambda e=e: Lattice(network, e).marginals()))
            total, joint = Lattice(network, e).marginals()
            gap = pyagrum_posteriors(model, network, e) - joint[0] / total[0]
            apart = max(apart, float(np.abs(gap).max()))
        ratios = np.array(theirs) / np.array(ours)
        print(
            f"posteriors, {positive:2d} positives {np.median(theirs):9.2f} ms"
            f" {np.median(ours):7.2f} ms {np.median(ratios):7.1f}x (worst {ratios.min():.1f}x)"
            f"   {apart:.0e}"
        )


def against_pgmpy(network: Network) -> None:
    import logging
    import warnings

    warnings.simplefilter("ignore")
    logging.getLogger("pgmpy").setLevel(logging.ERROR)
    from pgmpy.factors.discrete import TabularCPD
    from pgmpy.inference import VariableElimination
    from pgmpy.models import DiscreteBayesianNetwork

    network = Network(network.causes, network.odds, 1.0, network.findings)
    model = DiscreteBayesianNetwork()
    model.add_nodes_from(network.causes)
    for cause, odds in zip(network.causes, network.odds, strict=True):
        model.add_cpds(TabularCPD(cause, 2, [[1.0 / (1.0 + odds)], [odds / (1.0 + odds)]]))
    for table in network.findings:
        names = [network.causes[i] for i in table.parents]
        model.add_edges_from((name, table.name) for name in names)
        sets = np.array(list(np.ndindex(*[2] * len(names))))
        absent = np.prod(np.where(sets, 1.0 - table.at_least[:, 0], 1.0), axis=1)
        absent *= 1.0 - table.leak[0]
        model.add_cpds(TabularCPD(table.name, 2, [absent, 1.0 - absent], names, [2] * len(names)))
    inference = VariableElimination(model)

    def posteriors(evidence: Evidence) -> Floats:
        given = {network.findings[f].name: int(row[1] > 0.0) for f, row in evidence.items()}
        return np.array(
            [
                inference.query(
                    [cause], given, elimination_order="MinFill", show_progress=False
                ).values[1]
                for cause in network.causes
            ]
        )

    evidence = evidences(network, 6, 1)[0]
    theirs = best(lambda: posteriors(evidence), 1)
    ours = best(lambda: Lattice(network, evidence).marginals())
    total, joint = Lattice(network, evidence).marginals()
    apart = float(np.abs(posteriors(evidence) - joint[0] / total[0]).max())
    print(f"pgmpy posteriors, 6 positives {theirs:.0f} ms, {theirs / ours:.0f}x, by {apart:.0e}")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--most", type=int, default=12, help="positives for the errors")
    parser.add_argument("--growth", action="store_true", help="growth alone, for its memory")
    chosen = parser.parse_args()
    if chosen.growth:
        growth()
        return
    network = random_network(np.random.default_rng(5), 60, 150)
    alone(network)
    sys.stdout.flush()
    # a process of its own, so that the memory is that of the sums alone
    subprocess.run([sys.executable, "-m", "tests.benchmarks.belief", "--growth"], check=True)
    errors(network, chosen.most)
    limit = lattice.EXACT
    bounded()
    lattice.EXACT = limit
    for peer in (against_pyagrum, against_pgmpy):
        try:
            peer(network)
        except ImportError as missing:
            print(f"left out: {missing}")


if __name__ == "__main__":
    main()
