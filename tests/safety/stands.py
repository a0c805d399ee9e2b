"""What stands once it was reported, by hand: the trade's own list, that the program is held to."""

from __future__ import annotations

from dataclasses import dataclass

WORSE = {"ride": 0, "ride_gently": 1, "stop_riding": 2}

ALL = ("customer", "counter", "bench")


@dataclass(frozen=True)
class Stands:
    """What a finding in one of these states means, whoever of ``by`` reports it.

    ``own``: checks of other findings that may take it away; those of the same finding always may.
    """

    finding: str
    states: tuple[str, ...]
    ride: str
    by: tuple[str, ...] = ("counter", "bench")
    shut: bool = False
    dry: bool = False
    stage: str = ""
    own: tuple[str, ...] = ()


#: the outcome that a damaged part keeps in the plan
_NEW = "replace_or_refer"
_CLEARS = ("bench_length", "bench_guarded_fill")


def _trapped(finding: str, *states: str, by: tuple[str, ...] = ALL) -> Stands:
    return Stands(finding, states, "stop_riding", by, shut=True, own=_CLEARS)


def _stop(finding: str, *states: str, dry: bool = False, stage: str = "") -> Stands:
    return Stands(finding, states or ("yes",), "stop_riding", ALL, dry=dry, stage=stage)


def _seen_stop(finding: str, *states: str) -> Stands:
    return Stands(finding, states, "stop_riding")


def _gently(finding: str, *states: str) -> Stands:
    return Stands(finding, states or ("yes",), "ride_gently")


#: the trade's own list of what stands: trapped gas, damaged parts, lost air, lost damping
STANDS: tuple[Stands, ...] = (
    _trapped("stuck_short", "partly", "deep"),
    _trapped("short_before_air_out", "yes"),
    _trapped("gauge_while_short", "some", "near_usual"),
    _trapped("pulls_back", "yes"),
    _trapped("stays_short_with_air", "partly", "yes", by=("counter", "bench")),
    Stands("valve_dead", ("yes",), "ride_gently", ALL, shut=True, dry=True, stage=_NEW),
    Stands("shaft_returns", ("yes",), "stop_riding", ALL, shut=True, own=("bench_shaft_returns",)),
    _stop("stuck_short", "long", dry=True, stage=_NEW),
    _stop("ring_not_home", dry=True),
    _stop("bubbles_wall", dry=True, stage=_NEW),
    _stop("crack_seen", "suspect", "yes", dry=True, stage=_NEW),
    Stands("crack_place", ("frame", "link", "eyelet", "can"), "stop_riding", ALL, dry=True,
           stage=_NEW, own=("look_crack_seen", "bench_crack")),
    _stop("can_damaged", dry=True, stage=_NEW),
    _stop("can_unscrewing", dry=True),
    _stop("pressure_high", "over_max", dry=True),
    Stands("after_crash", ("yes",), "ride", ALL, dry=True, own=("bench_can",)),
    Stands("forced_at_home", ("yes",), "ride", ALL, dry=True, own=("bench_can",)),
    _stop("slider_scored", "deep"),
    _stop("shaft_bent"),
    _stop("bolt_loose"),
    _stop("bolt_bent_missing"),
    Stands("bolt_loose", ("yes",), "stop_riding", stage="on_bike_hardware"),
    Stands("bolt_bent_missing", ("yes",), "stop_riding", stage="on_bike_hardware"),
    _stop("wrong_size"),
    _stop("broke_inside"),
    _stop("rebound_fast", "pogo"),
    _stop("oil_on_brake"),
    _stop("brake_leaks"),
    _seen_stop("air_loss", "quick", "minutes"),
    _stop("will_not_take_air"),
    _stop("fill_fault", "comes_out", "blocked"),
    _seen_stop("bubbles_can_joint", "stream"),
    _seen_stop("bubbles_valve", "stream"),
    _seen_stop("bubbles_wiper", "stream"),
    _seen_stop("gas_force", "high"),
    Stands("charge_port_bad", ("yes",), "ride_gently", ALL, stage=_NEW),
    _gently("slider_scored", "light"),
    _gently("air_loss", "overnight"),
    _gently("gas_force", "low", "none"),
    _gently("play_frame", "clear"),
    _gently("play_shock", "clear"),
    _gently("oil_slider", "drops"),
    _gently("squelch", "loud"),
    _gently("dead_spot", "long"),
    *map(_gently, ("misaligned", "reducer_wrong", "contact_in_travel", "bolt_overtight",
                   "bushing_worn", "grinding", "hiss_in_stroke",
                   "loses_only_riding", "oil_adjuster", "oil_body_joint", "oil_is_damper_oil",
                   "oil_reservoir", "leaves_gas", "lockout_stuck", "firm_cable_off")),
)  # fmt: skip
