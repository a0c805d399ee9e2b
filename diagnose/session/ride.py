"""May it be ridden as it came in: from causes, from what was found, and from what was looked at.

Rules
-----
- A finding in a state that carries a verdict counts by its own chance, whatever caused it.
- What the customer says in plain words to be dangerous counts until somebody has looked at it.
- Nothing says 'safe': the best verdict is 'no reason found to stop', with what was looked at and
  what was not.
- Unseen, the best verdict is to ride gently until the five places were looked at.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from diagnose.belief.compiled import UNLISTED, Compiled
from diagnose.belief.network import Floats

__all__ = ["RideCall", "judge_ride"]


@dataclass(frozen=True)
class RideCall:
    """Verdict, its reason in words, chance of a reason to stop and to go gently."""

    verdict: str
    reason: str
    stop: float
    gently: float


def judge_ride(
    compiled: Compiled,
    causes: Mapping[str, float],
    findings: Mapping[str, Floats],
    told: Mapping[str, str],
    looked: list[str],
    missing: list[str],
    unseen: bool,
    any_stop: float = 0.0,
) -> RideCall:
    """Decide the verdict.

    Parameters
    ----------
    causes : posterior of each cause. findings : posterior of the states of each finding.
    told : finding -> state that the customer named and nobody has looked at yet.
    looked, missing : places of the first look that were, and were not, looked at, in words.
    unseen : nobody of the shop has the bike in hand. any_stop : chance that there is some reason to
    stop, whichever; several small reasons make one large one.
    """
    pack = compiled.knowledge.pack
    stop_misses, gently_misses = 1.0, 1.0
    best: dict[str, tuple[float, str]] = {"stop_riding": (0.0, ""), "ride_gently": (0.0, "")}
    for ident, chance in causes.items():
        if ident == UNLISTED:
            continue
        verdict = compiled.knowledge.causes[ident].ride
        if verdict.verdict == "stop_riding":
            stop_misses *= 1.0 - chance
        if verdict.verdict != "ride":
            gently_misses *= 1.0 - chance
            best[verdict.verdict] = max(best[verdict.verdict], (chance, verdict.why))
    stop, gently = 1.0 - stop_misses, 1.0 - gently_misses
    for name, states in findings.items():
        card = compiled.knowledge.findings[name]
        for word in ("stop_riding", "ride_gently"):
            rows = [
                (i, card.ride[s])
                for i, s in enumerate(card.states)
                if s in card.ride and (card.ride[s].verdict == word or word == "ride_gently")
            ]
            chance = float(sum(states[i] for i, _ in rows))
            if not rows:
                continue
            why = max(rows, key=lambda row: float(states[row[0]]))[1].why
            if word == "stop_riding":
                stop = max(stop, chance)
            gently = max(gently, chance)
            best[word] = max(best[word], (chance, why))
    for name, state in told.items():
        said = compiled.knowledge.findings[name].ride.get(state)
        if said is not None and said.verdict == "stop_riding":
            stop = max(stop, 1.0 - pack.stop_at)
            best["stop_riding"] = max(best["stop_riding"], (1.0 - pack.stop_at, said.why))
    stop = max(stop, any_stop)
    gently = max(gently, stop)
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
    return RideCall("ride", f"no reason found to stop; {seen}{unseen_places}", stop, gently)
