"""The BIF text: its shape, and the answers of two general-purpose programs that read it."""

from __future__ import annotations

import json
import re
from pathlib import Path

import numpy as np
import pytest

from diagnose.belief.bif import COUNTED, to_bif
from diagnose.belief.lattice import Lattice
from diagnose.belief.network import FindingTable, Floats, Network
from diagnose.errors import InputError
from tests.belief import outside
from tests.belief.reference import random_network, soft

FROZEN = json.loads(outside.FROZEN.read_text(encoding="utf-8"))


def posterior(network: Network, evidence: dict[int, Floats]) -> Floats:
    total, joint = Lattice(network, evidence).marginals()
    return np.asarray(joint[0] / total[0])


def frozen_questions() -> tuple[Network, list[dict[int, Floats]], Floats]:
    rows = FROZEN["questions"]
    evidences = [{int(f): np.array(row) for f, row in r["evidence"].items()} for r in rows]
    return (
        outside.network_from(FROZEN["network"]),
        evidences,
        np.array([r["posterior"] for r in rows]),
    )


def test_no_node_has_more_than_three_parents_and_rows_sum_to_one() -> None:
    network = random_network(np.random.default_rng(1), 12, 20, (0, 11), most_states=4)
    text = to_bif(network)
    heads = re.findall(r"^probability \( (\w+)(?: \| ([\w, ]+))? \)", text, re.M)
    assert {name for name, _ in heads} == set(re.findall(r"^variable (\w+)", text, re.M))
    assert max(len(parents.split(", ")) for _, parents in heads) <= 3
    for line in re.findall(r"^  (?:table|\(.*\)) ([^;]*);", text, re.M):
        row = [float(x) for x in line.split(",")]
        assert min(row) >= 0.0
        assert sum(row) == pytest.approx(1.0, abs=1e-14)


def test_every_parent_is_declared_before_its_child() -> None:
    network = random_network(np.random.default_rng(2), 9, 9, (0, 9), most_states=3)
    known: set[str] = set()
    heads = re.findall(r"^probability \( (\w+)(?: \| ([\w, ]+))? \)", to_bif(network), re.M)
    for name, parents in heads:
        assert set(filter(None, parents.split(", "))) <= known
        known.add(name)
    assert COUNTED in known


@pytest.mark.parametrize(("cause", "finding"), [("a b", "f"), ("same", "same"), ("1st", "f")])
def test_names_that_the_format_cannot_carry_are_refused(cause: str, finding: str) -> None:
    table = FindingTable(finding, np.array([0.1]), (0,), np.array([[0.5]]))
    with pytest.raises(InputError):
        to_bif(Network([cause], np.array([0.1]), 1.0, [table]))


def test_three_hundred_answers_of_pyagrum_and_pgmpy_are_met_to_nine_places() -> None:
    network, evidences, answers = frozen_questions()
    assert len(evidences) == 300
    ours = np.array([posterior(network, evidence) for evidence in evidences])
    assert np.abs(ours - answers).max() <= 1e-9


@pytest.mark.outside
@pytest.mark.parametrize("ask", [outside.ask_pyagrum, outside.ask_pgmpy])
def test_the_frozen_answers_are_what_the_program_says_today(ask, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    network, evidences, answers = frozen_questions()
    bif = tmp_path / "network.bif"
    bif.write_text(to_bif(network), encoding="utf-8")
    assert np.abs(np.array(ask(bif, network, evidences)) - answers).max() <= 1e-9


@pytest.mark.outside
def test_pyagrum_reads_the_compiled_knowledge_and_agrees(tmp_path: Path) -> None:
    """On three hundred bodies of evidence of one to four findings, reports among them."""
    import pyagrum

    from diagnose.belief.compiled import compile_pack
    from diagnose.knowledge.loader import load

    knowledge = load(Path(__file__).parents[2] / "knowledge")
    network = compile_pack(knowledge).network
    text = to_bif(network)
    bif = tmp_path / "knowledge.bif"
    bif.write_text(text, encoding="utf-8")
    model = pyagrum.loadBN(str(bif))
    outside.fill(model, text)
    inference = pyagrum.LazyPropagation(model)
    inference.setTargets(set(network.causes))  # the chains of unseen findings need no room
    rng = np.random.default_rng(5)
    worst = 0.0
    for _ in range(300):
        chosen = rng.choice(len(network.findings), int(rng.integers(1, 5)), replace=False)
        evidence = {int(f): soft(rng, network, int(f)) for f in chosen}
        given = {network.findings[f].name: row.tolist() for f, row in evidence.items()}
        inference.setEvidence({**given, COUNTED: "yes"})
        inference.makeInference()
        theirs = np.array([inference.posterior(cause)[1] for cause in network.causes])
        worst = max(worst, float(np.abs(theirs - posterior(network, evidence)).max()))
    assert worst <= 1e-9
