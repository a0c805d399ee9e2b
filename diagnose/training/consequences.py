"""What would have come of it in the shop: opening, forbidden steps, and calls that let harm pass.

Rules
-----
- Worded from the cards and from this case's truth; nothing is frightened into anybody.
- What could be known is what counts: a forbidden step is a lapse even where no harm came of it.
- Harm that could not be known of is a lapse only of somebody who opened before asking.
"""

from __future__ import annotations

from diagnose.knowledge.models import Stage
from diagnose.strategy.plans import included
from diagnose.symptom_graph.cautions import cautions_of
from diagnose.symptom_graph.routes import sheet_hazards
from diagnose.training.answers import Answers
from diagnose.training.calling import RIDES
from diagnose.training.moment import Moment
from diagnose.training.scenario import Scenario
from diagnose.training.scoring import Call, Lapse

__all__ = ["forbidden", "lapses_of_call", "opened"]


_AGAIN = "For practice it stands before you as it came in: go on."


def forbidden(moment: Moment, answers: Answers, what: str, reason: str) -> Lapse:
    """The lapse of doing what the gate of a real job forbids.

    Parameters
    ----------
    what : the deed in words. reason : ``sign`` of trapped gas, ``stop``: a reason not to load it.
    """
    if reason == "stop":
        told = (
            f"It was loaded although there was a reason to stop: {moment.view.belief.ride.reason}"
        )
        return Lapse(f"{what}, although it was forbidden", told)
    knowledge, standing = moment.coach.knowledge, answers.standing()
    signs = [s.floor for s in moment.view.belief.signs] or standing
    device = knowledge.device
    hazards = sheet_hazards(knowledge, knowledge.stages[device.stages.shut], {})
    trapped = [h for h in hazards if device.trapping & set(knowledge.hazards[h].chambers)]
    cards = cautions_of(knowledge, trapped or hazards)
    real = "This one held gas." if standing else "This one held none; you could not know."
    told = f"Nobody may open it: {signs[0].why}. {real} {cards[0].consequence}"
    return Lapse(f"{what}, although it was forbidden", told)


def opened(
    moment: Moment, answers: Answers, scenario: Scenario, stage: Stage
) -> tuple[str, Lapse | None]:
    """What comes of opening it now, and the lapse if it was one."""
    if moment.view.belief.signs or answers.standing():
        lapse = forbidden(moment, answers, f"opening it ({stage.name})", "sign")
        return f"In the shop: {lapse.told} {_AGAIN}", lapse
    coach, price = moment.coach, moment.opening_price(stage.id)
    minutes = stage.minutes + stage.opening_minutes
    spent = f"{minutes:.0f} minutes and {price:.0f} {coach.money.currency} later"
    model, inside = coach.cost_model, included(coach.knowledge, stage.id)
    needed = {model.cheapest[model.causes.index(cause)] for cause in scenario.truth}
    if needed and needed <= inside:
        return (
            f"{spent} the fault went with the parts, and nobody can say which it was. {_AGAIN}",
            None,
        )
    return (
        f"{spent} it is closed again and does just what it did before. {_AGAIN}",
        None,
    )


def lapses_of_call(moment: Moment, answers: Answers, call: Call) -> list[Lapse]:
    """What in a call could hurt somebody, by the evidence in hand."""
    found = []
    order = list(RIDES)
    if moment.view.belief.signs and moment.coach.knowledge.device.stages.shut not in call.work:
        names = ", ".join(moment.coach.knowledge.sheets[sheet].name for sheet in call.work)
        found.append(forbidden(moment, answers, f"called '{names}' with a sign standing", "sign"))
    if order.index(call.ride) < order.index(call.best_ride):
        said = RIDES[call.ride].lower()
        found.append(Lapse(f"let it go as '{said}'", moment.view.belief.ride.reason))
    elif not moment.looked and call.ride != order[-1]:
        seen = ", ".join(sign.text for sign in moment.coach.knowledge.pack.look_signs[:3])
        found.append(
            Lapse("a ride verdict without a look over all places", f"A look shows: {seen}.")
        )
    return found
