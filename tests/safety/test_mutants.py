"""A broken safety rule is noticed: a few of each family here, all of them by ``mutants.py``."""

from __future__ import annotations

from importlib import import_module
from pathlib import Path

import pytest

from tests.real_pack import shop_knowledge
from tests.safety.mutants import Mutant, in_child, mutants
from tests.safety.probes import failures

KNOWLEDGE = shop_knowledge()
ALL = mutants(KNOWLEDGE)

#: one or two of each family
FEW = (
    "gate: nothing waits for a key",
    "gate: a key outlives a hand-over",
    "gate: declined counts as agreed",
    "gate: other work in the middle of a sheet",
    "floor: a customer's word lifts",
    "stop: a part that may fail is loaded for a test",
    "caution: damper_charge without damper_charge",
    "key: over_pressure needs none",
    "chambers: trapped_negative only with charge",
    "act: gauged does not meet air_pressure",
    "gate: what another person read counts",
    "gate: what was read outlives a hand-over",
    "sheet: full_service without charge_proved",
    "sheet: air_can_service without can_close_again",
    "order: damper_service charge_proved_empty before charge_released",
    "floor: short_before_air_out yes left out",
    "lifting: stays_short_with_air partly not by bench_length",
    "first words: none for stuck_short partly",
    "floor: the ride goes by belief alone",
    "floor: a gauge above the maximum is ignored",
    "stop: can_cracked may be ridden",
)


def test_nothing_is_found_where_nothing_is_broken() -> None:
    assert list(failures(KNOWLEDGE)) == []


@pytest.mark.parametrize("name", FEW)
def test_mutant_is_caught(name: str) -> None:
    (mutant,) = [m for m in ALL if m.name == name]
    said = in_child(mutant, KNOWLEDGE)
    assert said and not said.startswith("!"), f"{name} survived {said}"


@pytest.mark.parametrize("mutant", [m for m in ALL if m.module], ids=lambda m: m.name)
def test_source_mutant_still_has_its_place(mutant: Mutant) -> None:
    source = import_module(mutant.module).__file__
    assert source is not None
    assert Path(source).read_text("utf-8").count(mutant.old) >= 1, (
        f"{mutant.module} was rewritten: give '{mutant.name}' its new place in source_mutants.yaml"
    )


@pytest.mark.long
@pytest.mark.parametrize("mutant", ALL, ids=lambda m: m.name)
def test_every_mutant_is_caught(mutant: Mutant) -> None:
    said = in_child(mutant, KNOWLEDGE)
    assert said and not said.startswith("!"), f"{mutant.name} survived {said}"
