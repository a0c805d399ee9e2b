"""The decisive question by hand."""

from __future__ import annotations

from diagnose.training.calling import NO_FAULT
from diagnose.training.decisive import decisive, not_asked
from diagnose.training.scoring import Step


def step(ident: str, **belief: float) -> Step:
    return Step(ident, ident, "splits", 0.0, 1.0, "", "told", belief)


PATH = [step("a", x=0.02, y=0.5), step("b", x=0.2, y=0.6), step("c", x=0.3), step("call", x=0.25)]


def test_weight_counts_and_not_the_difference() -> None:
    # 0.02 to 0.2 is odds times 12; 0.2 to 0.3 times 1.7.
    found = decisive(PATH, ["x"])
    assert found is not None
    assert (found.step.ident, found.before, found.after) == ("a", 0.02, 0.2)


def test_what_spoke_against_the_truth_is_not_decisive() -> None:
    assert decisive(PATH[2:], ["x"]) is None
    assert decisive(PATH[:1], ["x"]) is None
    assert decisive([], ["x"]) is None


def test_where_nothing_is_wrong_the_chance_of_that_counts() -> None:
    path = [step("a", **{NO_FAULT: 0.2}), step("call", **{NO_FAULT: 0.7})]
    found = decisive(path, [])
    assert found is not None
    assert found.cause == NO_FAULT


def test_what_an_expert_asked_and_the_apprentice_did_not() -> None:
    missed = not_asked(PATH[1:], PATH, ["x"])
    assert missed is not None
    assert missed.step.ident == "a"
    assert not_asked(PATH, PATH, ["x"]) is None
