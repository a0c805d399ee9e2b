"""May it be ridden as it came in: from causes, from what was found, and from what was looked at.

Rules
-----
- A standing floor is the verdict at least, whatever is believed; it names its finding and who said,
  saw or measured it.
- Above the floors belief counts: a finding that would set one, by its own chance unless set-up and
  normal behaviour are all there is to it, and the causes by theirs.
- Nothing says 'safe': the best verdict is 'no reason found to stop', with what was looked at and
  what was not. Where none of the places was looked at, it is no verdict at all.
- Unseen, the best verdict is to ride gently until the five places were looked at, unless set-up
  and normal behaviour are all there is to what was told.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from diagnose.belief.compiled import UNLISTED, Compiled
from diagnose.belief.network import Floats
from diagnose.reasoning.floors import StandingFloor

__all__ = ["RideCall", "judge_ride"]

_WORSE = {"ride": 0, "ride_gently": 1, "stop_riding": 2}
_SAID = {
    "heard": "said by the customer",
    "customer": "said by the customer",
    "counter": "seen",
    "bench": "found at the bench",
}


@dataclass(frozen=True)
class RideCall:
    """Verdict, its reason in words, chance of a reason to stop and to go gently.

    ``judged``: it rests on something; that nothing speaks against riding where nobody looked is
    no verdict.
    """

    verdict: str
    reason: str
    stop: float
    gently: float
    judged: bool = True


def judge_ride(
    compiled: Compiled,
    causes: Mapping[str, float],
    findings: Mapping[str, Floats],
    floors: Sequence[StandingFloor],
    looked: list[str],
    missing: list[str],
    unseen: bool,
    any_stop: float = 0.0,
    asked: Collection[str | None] = (),
) -> RideCall:
    """Decide the verdict.

    Parameters
    ----------
    causes : posterior of each cause. findings : chance of the states of each finding with a cause
    that is not harmless.
    floors : those that stand. looked, missing : places of the first look that were, and were not,
    looked at, in words. unseen : nobody of the shop has the bike in hand, and set-up does not
    explain what was told. any_stop : chance that
    there is some reason to stop, whichever; several small reasons make one large one. asked :
    findings that somebody was asked for or looked at.
    """
    knowledge = compiled.knowledge
    pack = knowledge.pack
    stop_misses, gently_misses = 1.0, 1.0
    best: dict[str, tuple[float, str]] = {"stop_riding": (0.0, ""), "ride_gently": (0.0, "")}
    for ident, chance in causes.items():
        if ident == UNLISTED:
            continue
        verdict = knowledge.causes[ident].ride
        if verdict.verdict == "stop_riding":
            stop_misses *= 1.0 - chance
        if verdict.verdict != "ride":
            gently_misses *= 1.0 - chance
            best[verdict.verdict] = max(best[verdict.verdict], (chance, verdict.why))
    stop, gently = max(1.0 - stop_misses, any_stop), 1.0 - gently_misses
    for row in knowledge.floors:
        if row.ride == "ride" or not row.believed:
            continue
        if row.until_asked in asked:
            continue
        states = compiled.states(row.finding)
        chance = float(
            sum(findings[row.finding][states.index(s)] for s in knowledge.states_of(row))
        )
        if row.ride == "stop_riding":
            stop = max(stop, chance)
        gently = max(gently, chance)
        best[row.ride] = max(best[row.ride], (chance, row.why))
    gently = max(gently, stop)
    standing = max(floors, key=lambda s: _WORSE[s.floor.ride], default=None)
    if standing is not None and standing.floor.ride != "ride":
        why = f"{_named(compiled, standing)}: {standing.floor.why}"
        best[standing.floor.ride] = (1.0, why)
        gently = 1.0
        stop = 1.0 if standing.floor.ride == "stop_riding" else stop
    seen = f"looked at: {', '.join(looked)}" if looked else "none of the places looked at yet"
    unseen_places = f"; not looked at: {', '.join(missing)}" if missing else ""
    if stop >= pack.stop_at:
        return RideCall("stop_riding", f"{best['stop_riding'][1]} ({seen})", stop, gently)
    if gently >= pack.gently_at:
        reason = best["ride_gently"][1] or best["stop_riding"][1]
        return RideCall("ride_gently", f"{reason} ({seen}{unseen_places})", stop, gently)
    if unseen and missing:
        reason = f"nobody here has seen it: look at {', '.join(missing)} before the next ride"
        return RideCall("ride_gently", reason, stop, gently)
    if missing and not looked:
        reason = f"nothing told speaks against it; before it is ridden look at {', '.join(missing)}"
        return RideCall("ride", reason, stop, gently, judged=False)
    return RideCall("ride", f"no reason found to stop; {seen}{unseen_places}", stop, gently)


def _named(compiled: Compiled, standing: StandingFloor) -> str:
    """The finding of a floor and who reported it, in words."""
    finding = compiled.knowledge.findings[standing.claim.finding]
    return f"{finding.name}, {_SAID[standing.claim.by]}"
