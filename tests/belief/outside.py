"""The same questions put to pgmpy and pyAgrum, through the BIF text alone.

``python -m tests.belief.outside`` writes their answers to ``outside.json``. pyAgrum's reader of
BIF keeps single precision (seen in 3.3.1); the network therefore has chances with so few binary
digits that every table entry is exact in single precision.
"""

from __future__ import annotations

import json
import logging
import re
import warnings
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np

from diagnose.belief.bif import COUNTED, to_bif
from diagnose.belief.network import FindingTable, Floats, Network
from tests.belief.reference import soft

FROZEN = Path(__file__).parent / "outside.json"


def binary_network(seed: int = 2) -> Network:
    """Nine causes and fourteen findings, chances with at most six binary digits."""
    rng = np.random.default_rng(seed)

    def chances(low: int, high: int, shape: tuple[int, ...]) -> Floats:
        return np.asarray(-np.sort(-rng.integers(low, high, shape), axis=-1) / 64.0)

    tables = []
    for f in range(14):
        k = 1 + f % 2
        count = int(rng.integers(2, 9))
        parents = tuple(sorted(int(i) for i in rng.choice(9, count, replace=False)))
        at_least = chances(3, 61, (count, k))
        tables.append(FindingTable(f"f{f}", chances(1, 5, (k,)), parents, at_least))
    prior = rng.integers(1, 200, 9) / 4096.0
    return Network([f"c{i}" for i in range(9)], prior / (1.0 - prior), 0.015625, tables)


def questions(network: Network, count: int = 300) -> list[dict[int, Floats]]:
    """Random evidence on one to eight findings, certain or vague."""
    rng = np.random.default_rng(3)
    result = []
    for _ in range(count):
        chosen = rng.choice(len(network.findings), int(rng.integers(1, 9)), replace=False)
        result.append({int(f): soft(rng, network, int(f)) for f in chosen})
    return result


def ask_pyagrum(
    bif: Path, network: Network, evidences: list[dict[int, Floats]]
) -> list[list[float]]:
    """Posterior of every cause for each body of evidence."""
    import pyagrum

    inference = pyagrum.LazyPropagation(pyagrum.loadBN(str(bif)))
    answers = []
    for evidence in evidences:
        given: dict[str, Any] = {
            network.findings[f].name: row.tolist() for f, row in evidence.items()
        }
        inference.setEvidence({**given, COUNTED: "yes"})
        inference.makeInference()
        answers.append([float(inference.posterior(cause)[1]) for cause in network.causes])
    return answers


def ask_pgmpy(bif: Path, network: Network, evidences: list[dict[int, Floats]]) -> list[list[float]]:
    """Posterior of every cause for each body of evidence."""
    warnings.simplefilter("ignore")
    logging.getLogger("pgmpy").setLevel(logging.ERROR)
    from pgmpy.factors.discrete import TabularCPD
    from pgmpy.inference import VariableElimination
    from pgmpy.readwrite import BIFReader

    inference = VariableElimination(BIFReader(str(bif)).get_model())
    causes = list(network.causes)
    answers = []
    for evidence in evidences:
        virtual = []
        for f, row in evidence.items():
            name = network.findings[f].name
            states = {name: [f"s{s}" for s in range(len(row))]}
            virtual.append(TabularCPD(name, len(row), row[:, None].tolist(), state_names=states))
        joint = inference.query(
            causes, {COUNTED: "yes"}, virtual_evidence=virtual, show_progress=False
        )
        answer = []
        for cause in causes:
            others = [other for other in causes if other != cause]
            alone = joint.marginalize(others, inplace=False)
            present = alone.name_to_no[cause]["present"]
            answer.append(float(alone.values[present] / alone.values.sum()))
        answers.append(answer)
    return answers


def fill(model: Any, bif: str) -> None:
    """Put a BIF text's numbers into a pyAgrum model that its reader has rounded."""
    for head, body in re.findall(r"^probability \( (.*?) \) \{\n(.*?)^\}", bif, re.M | re.S):
        name, _, parents = head.partition(" | ")
        for labels, numbers in re.findall(r"^  (?:table|\((.*?)\)) ([^;]*);", body, re.M):
            place = dict(zip(parents.split(", "), labels.split(", "), strict=True))
            row = [float(x) for x in numbers.split(",")]
            if parents:
                model.cpt(name)[place] = row
            else:
                model.cpt(name).fillWith(row)


def network_data(network: Network) -> dict[str, Any]:
    """A network as plain data."""
    return {
        "causes": list(network.causes),
        "odds": network.odds.tolist(),
        "empty_weight": network.empty_weight,
        "findings": [
            [t.name, t.leak.tolist(), list(t.parents), t.at_least.tolist()]
            for t in network.findings
        ],
    }


def network_from(data: Mapping[str, Any]) -> Network:
    """Inverse of `network_data`."""
    tables = [
        FindingTable(name, np.array(leak), tuple(parents), np.array(at_least))
        for name, leak, parents, at_least in data["findings"]
    ]
    return Network(data["causes"], np.array(data["odds"]), data["empty_weight"], tables)


def main() -> None:
    import tempfile

    import pgmpy
    import pyagrum

    network = binary_network()
    evidences = questions(network)
    with tempfile.TemporaryDirectory() as folder:
        bif = Path(folder) / "network.bif"
        bif.write_text(to_bif(network), encoding="utf-8")
        first = np.array(ask_pyagrum(bif, network, evidences))
        second = np.array(ask_pgmpy(bif, network, evidences))
    print("pyAgrum and pgmpy differ by at most", np.abs(first - second).max())
    rows = [
        {"evidence": {str(f): row.tolist() for f, row in e.items()}, "posterior": p.tolist()}
        for e, p in zip(evidences, (0.5 * (first + second)).round(13), strict=True)
    ]
    data = {
        "by": f"mean of pyAgrum {pyagrum.__version__} and pgmpy {pgmpy.__version__}",
        "network": network_data(network),
        "questions": rows,
    }
    FROZEN.write_text(json.dumps(data).replace('{"evidence"', '\n{"evidence"') + "\n", "utf-8")


if __name__ == "__main__":
    main()
