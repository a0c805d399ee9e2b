"""Cases that a shop writes itself: checked on entry, so that nobody practises on nonsense.

Rules
-----
- A case must be readable, consistent with its truth, and solvable: with all that is written in it,
  the right plan must be the one to call.
- A closed job becomes a case with what was said and found in it; the words of its customer are
  kept, nothing of who it was.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
import yaml

from diagnose.atomic import write_whole
from diagnose.belief.compiled import UNLISTED
from diagnose.casebook.cases import Case, read_case
from diagnose.errors import InputError, Problem
from diagnose.job.events import Event, HandedOver
from diagnose.job.job_file import answer_events, events_of
from diagnose.job.state import fold
from diagnose.reasoning.reasoner import View
from diagnose.training.moment import Coach

__all__ = ["case_of_job", "enter", "problems_of"]

#: chance under the truth below which a written answer contradicts it
_HARDLY = 0.02

#: share by which the right plan may cost more than the best one and still be the call
_NEAR = 0.15


def problems_of(case: Case, coach: Coach) -> list[str]:
    """What is wrong with a case that can be read; empty: nothing."""
    events, _ = events_of({"complaint": case.complaint, "shock": case.shock}, coach.knowledge)
    for ask, value in {**case.counter, **case.bench}.items():
        events += answer_events(ask, value, coach.knowledge, "bench")
    moment = coach.moment(fold([*events, HandedOver(to="", at="bench")]))
    return [*_contradictions(case, coach, moment.view), *_unsolvable(case, coach, moment.view)]


def _contradictions(case: Case, coach: Coach, view: View) -> list[str]:
    compiled = coach.compiled
    present = np.array([[cause in case.truth for cause in compiled.causes]])
    chances = compiled.network.state_chances(present)[0]
    found = []
    for item in view.belief.items:
        f = compiled.network.finding_index[item.finding]
        own = chances[compiled.network.state_offsets[f] : compiled.network.state_offsets[f + 1]]
        fit = float(own @ item.likelihood) / float(item.likelihood.max())
        if fit < _HARDLY and not item.words:
            truth = ", ".join(case.truth) or "nothing wrong"
            found.append(
                f"{item.ask}: '{item.state}' hardly ever happens with {truth} ({fit:.1%})."
            )
    return found


def _unsolvable(case: Case, coach: Coach, view: View) -> list[str]:
    if UNLISTED in case.truth:
        return []
    if view.belief.signs:
        if coach.knowledge.device.stages.shut in case.expect.bench.stage:
            return []
        sign = view.belief.signs[0].floor.finding
        return [f"a sign stands to the end ({sign}), yet it is to be opened."]
    model = coach.cost_model
    truth = np.array([[cause in case.truth for cause in coach.compiled.causes]])
    right = int(model.right_plans(truth)[0])
    stages = set(model.plans[right].stages)
    costs = [
        view.decision.costs[n] for n, plan in enumerate(model.plans) if set(plan.stages) == stages
    ]
    found = bool(case.truth) and set(list(view.belief.causes)[: len(case.truth) + 1]) >= set(
        case.truth
    )
    if found or min(costs) <= (1.0 + _NEAR) * view.decision.costs.min():
        return []
    top, call = ", ".join(list(view.belief.causes)[:2]), " + ".join(model.plans[right].stages)
    return [
        f"with all that is written, '{call}' is still not the call: it speaks for {top}. "
        "Write the check that settles it."
    ]


def enter(path: Path, folder: Path, coach: Coach) -> Path:
    """Take a case file into the shop's own cases.

    Raises
    ------
    InputError : it cannot be read, every problem with its line; contradictory; unsolvable; or an id
    that there is already.
    """
    problems: list[Problem] = []
    case = read_case(path, coach.knowledge, problems)
    if problems or case is None:
        faults = [f"line {p.line}: {_plain(p.what)} {p.next_step}".rstrip() for p in problems]
        raise _refused("it is no case yet:", faults, path)
    faults = problems_of(case, coach)
    if faults:
        raise _refused("it does not fit together:", faults, path)
    target = folder / f"{case.id}.yaml"
    if target.exists():
        raise InputError(
            f"there is a case '{case.id}' already.", where=str(target), next_step="Rename yours."
        )
    write_whole(target, path.read_bytes())
    return target


def _plain(what: str) -> str:
    """A problem in words that need no knowledge of how it was found."""
    return "this is no list of fields." if "valid dictionary" in what else what.lstrip(": ")


def _refused(what: str, faults: Sequence[str], path: Path) -> InputError:
    lines = "".join(f"\n- {fault}" for fault in faults)
    return InputError(
        f"{what}{lines}",
        where=path.name,
        next_step=f"Mend it, then: diagnose train new {path}",
    )


def case_of_job(ident: str, events: Sequence[Event], coach: Coach, teaching: str = "") -> str:
    """A closed job as the text of a case file, to be read over and entered.

    Raises
    ------
    InputError : the job is not closed, or was closed without a finding.
    """
    job = fold(events)
    if job.closed is None or not job.complaint:
        raise InputError(
            "only a closed job with a complaint becomes a case.",
            where=ident,
            next_step="Close it with what was found.",
        )
    counter: dict[str, str] = {}
    bench: dict[str, Any] = {}
    for report in job.reports.values():
        check = coach.knowledge.checks.get(report.ask)
        if check is None or check.at == "counter":
            counter[report.ask] = report.state
        else:
            bench[report.ask] = dict(report.readings) if report.readings else report.state
    truth = [c for c in job.closed.found if c in coach.knowledge.causes or c == UNLISTED]
    stage = job.closed.stage or coach.view(job).decision.plan.stages[0]
    fields = coach.knowledge.device.fields
    texts = {name for name, field in fields.items() if field.kind == "text"}
    case = {
        "id": ident,
        "written": "after",
        "difficulty": "plain",
        "themes": ["own_job"],
        "complaint": job.complaint,
        "shock": {k: v for k, v in job.shock.items() if k not in texts},
        "counter": {k: v for k, v in counter.items() if v},
        "bench": bench,
        "truth": truth,
        "expect": {"counter": {"stage": [stage]}, "bench": {"stage": [stage]}},
        "teaching": teaching or "Write here what this job teaches.",
    }
    for name, field in fields.items():
        if field.unit and name in job.shock:
            case["shock"][name] = f"{float(job.shock[name]):.0f} {field.unit}"  # type: ignore[index]
    return yaml.safe_dump(case, sort_keys=False, allow_unicode=True, width=100)
