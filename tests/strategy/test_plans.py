"""Plans and their costs, computed by hand on a made-up pack.

One minute costs 1, a comeback 50, an opening that nothing called for 20, work that nothing called
for 12, sent home with a fault 20, a wrong quote 10. The base service (20 to open and close, 10 and
4 of parts by itself) contains descaling (8, parts 1) and that advice (5).

Reaches strategy.policy too.
"""

from __future__ import annotations

import numpy as np
import pytest

from diagnose.belief.compiled import UNLISTED
from diagnose.strategy.plans import CostModel, Plan, cure_chance, included, plans_of
from tests.kettle import kettle_reasoner
from tests.real_pack import shop_reasoner

KETTLE = kettle_reasoner()
KNOWLEDGE = KETTLE.knowledge
MODEL = CostModel(KNOWLEDGE, KETTLE.compiled.causes)


def plan(*stages: str) -> int:
    return MODEL.plans.index(Plan(stages))


def present(*causes: str) -> np.ndarray:
    return np.array([[cause in causes for cause in MODEL.causes]])


def cost(stage: str, *causes: str) -> float:
    return float(MODEL.costs(present(*causes))[0, plan(stage)])


def test_a_stage_contains_itself_and_what_its_parts_contain() -> None:
    assert included(KNOWLEDGE, "base_service") == {"base_service", "descale", "advice"}
    assert included(KNOWLEDGE, "advice") == {"advice"}


@pytest.mark.parametrize(
    ("cause", "stage", "chance"),
    [
        ("limescale", "descale", 0.9),
        ("limescale", "base_service", 0.9),  # contains descaling
        ("limescale", "advice", 0.02),  # now and then it succeeds all the same
        ("element_burnt", "base_service", 0.9),
        ("lid_bent", "base_service", 0.2),
        ("lid_bent", "new_kettle", 0.97),
        (UNLISTED, "new_kettle", 0.9),
        (UNLISTED, "base_service", 0.02),
    ],
)
def test_the_best_of_what_a_stage_contains_cures(cause: str, stage: str, chance: float) -> None:
    assert cure_chance(KNOWLEDGE, cause, stage, UNLISTED) == pytest.approx(chance)


def test_plans_are_single_outcomes_and_pairs_of_which_neither_contains_the_other() -> None:
    assert {p.stages for p in plans_of(KNOWLEDGE)} == {
        ("advice",),
        ("descale",),
        ("base_service",),
        ("new_kettle",),
        ("new_kettle", "base_service"),
        ("new_kettle", "descale"),
        ("new_kettle", "advice"),
    }


def test_a_shop_that_cannot_do_everything_has_fewer_plans() -> None:
    assert {p.stages for p in plans_of(KNOWLEDGE, ["descale"])} == {("descale",)}


@pytest.mark.parametrize(
    ("stage", "causes", "expected"),
    [
        # nothing wrong: advice is 5 minutes; the service 34, less the advice in it, opened in vain
        ("advice", (), 5.0),
        ("base_service", (), 5.0 + (34.0 - 5.0) + 20.0),
        # the right stage: 20 + 10 and parts 8
        ("base_service", ("element_burnt",), 38.0),
        # too small: it comes back, and then the right one; nothing done: sent home with it
        ("descale", ("element_burnt",), 38.0 + 50.0),
        ("advice", ("element_burnt",), 38.0 + 20.0),
        # right for scale: 5 and parts 1
        ("descale", ("limescale",), 6.0),
        # too large for scale: 34 less the 9 of descaling, opened in vain
        ("base_service", ("limescale",), 6.0 + (34.0 - 9.0) + 20.0),
        # both at once in one opening: 20 + 10 + 5, parts 8 + 1
        ("base_service", ("element_burnt", "limescale"), 44.0),
    ],
)
def test_costs_by_hand(stage: str, causes: tuple[str, ...], expected: float) -> None:
    assert cost(stage, *causes) == pytest.approx(expected)


def test_two_faults_of_two_kinds_need_two_outcomes() -> None:
    """Replacing (15 by itself is not needed: 3 and parts 20) and a base service (30, parts 8)."""
    both = present("lid_bent", "element_burnt")
    pair = plan("new_kettle", "base_service")
    assert MODEL.right_plans(both).tolist() == [pair]
    assert MODEL.prices(both)[0, pair] == pytest.approx(3 + 20 + 30 + 8)
    # lid: neither replacing (0.97) nor the descaling inside (0.2); element: 0.9 or by chance 0.02
    cured = (1 - 0.03 * 0.8) * (1 - 0.1 * 0.98)
    assert MODEL.cured(both)[0, pair] == pytest.approx(cured)


def test_what_a_set_needs_is_the_largest_that_a_cause_needs() -> None:
    sets = np.concatenate(
        [present(), present("limescale"), present("limescale", "seal_perished"), present(UNLISTED)]
    )
    assert MODEL.needed_stages(sets) == [
        "advice",
        "descale",
        "base_service",
        "new_kettle",
    ]


def test_a_stage_is_meant_for_the_causes_that_no_smaller_one_cures() -> None:
    assert MODEL.meant_for("limescale", "descale")
    assert not MODEL.meant_for("limescale", "base_service")
    assert MODEL.meant_for("lid_bent", "new_kettle")


def test_the_plan_is_the_one_that_is_expected_to_cost_least_if_it_is_wrong() -> None:
    """By hand: descaling comes back for 50 p, the service is opened in vain for 45 (1 - p)."""
    two = np.array([one.stages in (("base_service",), ("descale",)) for one in MODEL.plans])
    for p, called in ((0.46, "descale"), (0.48, "base_service")):
        shares = np.zeros(len(MODEL.plans))
        shares[plan("base_service")], shares[plan("descale")] = p, 1.0 - p
        assert MODEL.choose(shares, two, "bench") == plan(called)
    # A quote is right or costs a call.
    assert MODEL.choose(shares, two, "counter") == plan("descale")


def test_a_plan_that_is_not_kept_is_not_called() -> None:
    shares = np.zeros(len(MODEL.plans))
    shares[plan("descale")] = 1.0
    kept = MODEL.holding({"base_service"})
    assert MODEL.plans[MODEL.choose(shares, kept, "bench")].stages[-1] == "base_service"


@pytest.mark.parametrize("rarer", ["whole", "small"])
def test_of_plans_that_differ_in_a_small_job_the_one_more_often_just_that_is_taken(
    rarer: str,
) -> None:
    """As quotes they are the same: the last digit of a sum does not decide between them."""
    model = shop_reasoner().cost_model
    place = {
        "small": next(n for n, one in enumerate(model.plans) if one.sheets != one.stages),
    }
    place["whole"] = model.plans.index(Plan(model.plans[place["small"]].stages))
    shares = np.full(len(model.plans), 0.001)
    shares[[*place.values()]] = 0.3
    shares[place[rarer]] = 0.2
    right = place["small" if rarer == "whole" else "whole"]
    every = np.ones(len(model.plans), dtype=bool)
    assert model.choose(shares, every, "counter") == right


def test_a_wrong_quote_costs_a_call_whether_too_small_or_too_large() -> None:
    quotes = MODEL.wrong_calls(present("limescale"), "counter")[0]
    assert quotes[plan("descale")] == 0.0
    assert quotes[plan("base_service")] == quotes[plan("advice")] == 10.0


def test_what_no_card_knows_speaks_for_no_plan() -> None:
    for desk in ("counter", "bench"):
        assert np.all(MODEL.wrong_calls(present(UNLISTED), desk) == 0.0)


@pytest.mark.parametrize(
    ("cause", "stage", "job"),
    [
        ("valve_core_loose", "air_can_service", "valve_core"),
        ("charge_low", "damper_service", "recharge"),
    ],
)
def test_a_valve_core_is_no_can_service(cause: str, stage: str, job: str) -> None:
    """A small job is planned in the place of its stage, at its own minutes and parts."""
    model, cards = shop_reasoner().cost_model, shop_reasoner().knowledge
    alone = np.array([[one == cause for one in model.causes]])
    right = model.plans[int(model.right_plans(alone)[0])]
    remedy, card = cards.causes[cause].remedy, cards.small_jobs[job]
    assert right == Plan((stage,), (job,))
    minutes, parts = model.sheet_work(job, alone)
    assert float(minutes[0]) == remedy.minutes + card.opening_minutes
    assert float(parts[0]) == remedy.parts
    assert float(model.sheet_work(stage, alone)[0][0]) > float(minutes[0])


def test_a_small_job_cures_what_names_it_and_what_it_contains() -> None:
    model, cards = shop_reasoner().cost_model, shop_reasoner().knowledge
    place = model.plans.index(Plan(("air_can_service",), ("valve_core",)))
    cures = dict(zip(model.causes, model.cures[:, place], strict=True))
    assert cures["valve_core_worn"] == pytest.approx(
        cards.chance(cards.causes["valve_core_worn"].cures["air_can_service"])
    )
    assert cures["pressure_too_low"] == pytest.approx(
        cards.chance(cards.causes["pressure_too_low"].cures["no_service"])
    )
    for other in ("can_seal_worn", "charge_low", UNLISTED):
        assert cures[other] == pytest.approx(0.02)


def test_a_small_job_that_did_not_help_is_found_out_in_the_shop_or_comes_back() -> None:
    model = shop_reasoner().cost_model
    seal = np.array([[cause == "can_seal_worn" for cause in model.causes]])
    ring = np.array([[cause == "piston_ring_worn" for cause in model.causes]])
    core = model.plans.index(Plan(("air_can_service",), ("valve_core",)))
    gas = model.plans.index(Plan(("damper_service",), ("recharge",)))

    wrong = model.wrong_calls(np.concatenate([seal, ring]), "bench")
    assert wrong[0, core] == pytest.approx(model.money.failed_in_shop)
    assert wrong[1, gas] >= model.money.comeback


def test_a_shop_without_seals_may_still_do_a_valve_core() -> None:
    cards = shop_reasoner().knowledge
    plans = plans_of(cards, ["no_service", "replace_or_refer", "valve_core"])
    assert {plan.sheets for plan in plans} == {
        ("no_service",),
        ("replace_or_refer",),
        ("valve_core",),
    }


def test_what_two_outcomes_both_contain_is_done_once() -> None:
    """Advice stands in both; a second try at it cures nobody."""
    model, cards = shop_reasoner().cost_model, shop_reasoner().knowledge
    cause = model.causes.index("squashed_in_transport")
    pair = model.plans.index(
        Plan(("air_can_service", "on_bike_hardware"), ("valve_core", "on_bike_hardware"))
    )
    told = cards.chance(cards.causes["squashed_in_transport"].cures["no_service"])
    assert model.cures[cause, pair] == pytest.approx(1 - (1 - told) * (1 - 0.02))


def test_a_small_job_that_may_well_not_do_gives_way_to_all_of_it() -> None:
    model = shop_reasoner().cost_model
    core = model.plans.index(Plan(("air_can_service",), ("valve_core",)))
    whole = model.plans.index(Plan(("air_can_service",)))
    every = np.ones(len(model.plans), dtype=bool)
    for chance, called in ((0.9, core), (0.2, whole)):
        shares = np.zeros(len(model.plans))
        shares[core], shares[whole] = chance, 1.0 - chance
        assert model.choose(shares, every, "bench") == called


def test_a_cracked_link_leaves_the_shock_its_own_fault() -> None:
    """The link is renewed, the can gets its seal; a new shock mends no link (common practice)."""
    model = shop_reasoner().cost_model
    both = np.array([[c in ("link_cracked", "can_seal_worn") for c in model.causes]])
    right = model.plans[int(model.right_plans(both)[0])]
    assert right == Plan(("replace_or_refer", "air_can_service"), ("frame_part", "air_can_service"))
    unit = np.array([[c in ("eyelet_cracked", "can_seal_worn") for c in model.causes]])
    assert model.plans[int(model.right_plans(unit)[0])].sheets == ("replace_or_refer",)


def test_gas_and_a_core_are_two_jobs_and_no_damper_service() -> None:
    """Neither needs the damper opened (common practice)."""
    model = shop_reasoner().cost_model
    both = np.array([[c in ("charge_lost_port", "valve_core_loose") for c in model.causes]])
    assert model.plans[int(model.right_plans(both)[0])].sheets == ("recharge", "valve_core")
