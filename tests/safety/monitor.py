"""An independent witness of conversations: what was shown, pressed and done, and in which state.

It shares no function with the gate. What an effect does to a chamber, when an acknowledgement
lapses and what must stand before a deed is written here a second time, by hand.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from diagnose.conversation.prompts import Prompt
from diagnose.job.events import (
    Acknowledged,
    Answered,
    Approved,
    CheckReadied,
    Described,
    Event,
    HandedOver,
    Happened,
    Measured,
    Read,
    Resumed,
    Stepped,
    Withdrawn,
)
from diagnose.knowledge.loader import Knowledge

#: hazard -> cautions that a reader must see; a removed or swapped caution shows against this
TEXTS: dict[str, tuple[str, ...]] = {
    "trapped_negative": ("trapped_negative",),
    "trapped_in_hand": ("trapped_negative",),
    "opening_trapped": ("trapped_do_not_open",),
    "damper_charge": ("damper_charge",),
    "residual_gas": ("residual_gas",),
    "air_pressure": ("air_pressure",),
    "air_in_hand": ("air_pressure",),
    "over_pressure": ("over_maximum",),
    "over_charge": ("over_charge",),
    "damaged_part": ("damaged_pressure_part",),
    "unknown_history": ("unknown_history",),
    "wrong_gas": ("never_oxygen", "nitrogen_bottle"),
    "structural_failure": ("structural_stop",),
    "ifp_projectile": ("ifp_flies",),
    "heat_on_charged": ("no_heat_on_charged",),
    "hot_shock": ("hot_shock",),
    "fluid_jet": ("fluid_jet",),
    "frame_drops": ("frame_drops",),
    "ebike_motor": ("ebike_motor",),
    "solvents": ("solvents",),
    "sealing_surfaces": ("sealing_surfaces",),
    "small_charge": ("small_charge",),
    "oil_on_brake": ("oil_on_brake",),
    "pinch": ("pinch",),
    "vice_strap": ("vice_strap",),
    "posting_pressure": ("do_not_post_pressurised",),
}

#: hazard -> chambers that bring it about; absent: always there
CHAMBERS: dict[str, tuple[str, ...]] = {
    "trapped_negative": ("negative",),
    "trapped_in_hand": ("negative",),
    "opening_trapped": ("negative",),
    "damper_charge": ("charge",),
    "air_pressure": ("air",),
    "air_in_hand": ("air",),
    "heat_on_charged": ("air", "negative", "charge"),
}

KEYED = (
    "trapped_negative",
    "damper_charge",
    "air_pressure",
    "over_pressure",
    "over_charge",
    "ifp_projectile",
)

#: act -> hazards that its doer must know
MUST: dict[str, tuple[str, ...]] = {
    "vented": ("air_pressure", "trapped_negative"),
    "pumped": ("air_pressure", "trapped_negative", "over_pressure", "damaged_part"),
    "let_down": ("air_pressure", "trapped_negative", "damaged_part"),
    "refilled": ("trapped_negative", "over_pressure", "damaged_part"),
    "pumped_back": ("over_pressure", "damaged_part"),
    "opened": ("air_pressure", "trapped_negative", "damper_charge", "unknown_history"),
    "core_out": ("air_pressure", "trapped_negative"),
    "can_off": ("damper_charge", "trapped_negative", "heat_on_charged", "vice_strap",
                "air_pressure", "unknown_history"),
    "off_bike": ("frame_drops", "ebike_motor", "pinch"),
    "bolted": ("frame_drops", "ebike_motor", "pinch"),
    "charge_released": ("damper_charge", "residual_gas", "fluid_jet"),
    "charge_proved_empty": ("residual_gas", "pinch"),
    "damper_open": ("damper_charge", "residual_gas", "fluid_jet", "oil_on_brake",
                    "unknown_history"),
    "body_faced": ("residual_gas",),
    "ifp_out": ("ifp_projectile", "residual_gas", "fluid_jet"),
    "charged": ("over_charge", "wrong_gas", "fluid_jet"),
    "piston_moved": ("ifp_projectile",),
    "charge_proved": ("pinch",),
    "gauged": ("air_pressure", "trapped_negative", "hot_shock"),
    "port_gauged": ("small_charge",),
    "pulled": ("trapped_negative",),
    "pushed_in": ("air_in_hand", "trapped_in_hand", "pinch"),
    "touched": ("air_in_hand", "hot_shock"),
    "clamped": ("trapped_in_hand", "vice_strap"),
    "forced": ("trapped_in_hand", "heat_on_charged"),
    "sent": ("posting_pressure", "trapped_in_hand"),
    "tagged": ("opening_trapped", "heat_on_charged"),
    "loaded": ("structural_failure",),
    "damage_sought": ("damaged_part",),
    "leak_sought": ("fluid_jet",),
    "reached": ("pinch",),
    "cleaned": ("solvents", "sealing_surfaces"),
    "oil_handled": ("solvents",),
    "brake_near": ("oil_on_brake",),
    "resealed": ("sealing_surfaces",),
}  # fmt: skip

#: what an act brings into the chambers, and what it proves out of them
FILLS = {
    "pumped": {"air", "negative"},
    "refilled": {"air", "negative"},
    "air_filled": {"air", "negative"},
    "charged": {"charge"},
}
EMPTIES = {
    "air_proved_empty": {"air"},
    "can_off": {"air", "negative"},
    "charge_proved_empty": {"charge"},
}
EVENTS = {"vented", "let_down", "pumped", "cycled", "opened", "refilled", "off_bike"}
OPENS = {"core_out", "opened", "can_off"}
#: finding -> its bad states, and what takes them away; None: a better look at the same thing
Row = tuple[tuple[str, ...], tuple[str, ...] | None]

_CLEARS = ("bench_length", "bench_guarded_fill")

TRAPPED: dict[str, Row] = {
    "stuck_short": (("partly", "deep"), ("look_stuck_short", *_CLEARS)),
    "short_before_air_out": (("yes",), _CLEARS),
    "gauge_while_short": (("some", "near_usual"), _CLEARS),
    "pulls_back": (("yes",), _CLEARS),
    "stays_short_with_air": (("partly", "yes"), ("bench_length",)),
    "valve_dead": (("yes",), ("bench_valve_dead",)),
    "shaft_returns": (("yes",), ("bench_shaft_returns",)),
}

DAMAGED: dict[str, Row] = {
    "crack_seen": (("suspect", "yes"), None),
    "crack_place": (
        ("frame", "link", "eyelet", "can"),
        ("look_crack_place", "bench_crack_place", "look_crack_seen", "bench_crack"),
    ),
    "can_damaged": (("yes",), None),
    "can_unscrewing": (("yes",), None),
    "ring_not_home": (("yes",), None),
    "bubbles_wall": (("yes",), None),
    "stuck_short": (("long",), ("look_stuck_short", "bench_length")),
    "valve_dead": (("yes",), ("bench_valve_dead",)),
    "after_crash": (("yes",), ("bench_can",)),
    "forced_at_home": (("yes",), ("bench_can",)),
    "pressure_high": (("over_max",), ()),
}

CHARGE_SIDE = {
    "charge_released",
    "charge_proved_empty",
    "damper_open",
    "ifp_out",
    "charged",
    "charge_proved",
}


class Broken(AssertionError):
    """Something was done that the trade does not allow."""


@dataclass
class Monitor:
    """Watches one job. ``knowledge``: the cards as their authors wrote them, never a mutant's.

    ``rights``: initials -> rights, or None where everybody may do everything.
    """

    knowledge: Knowledge
    rights: Mapping[str, frozenset[str]] | None = None
    holds: set[str] = field(default_factory=lambda: {"air", "negative", "charge"})
    keys: dict[tuple[str, str], set[str]] = field(default_factory=dict)
    read: set[tuple[str, str]] = field(default_factory=set)
    time: str = ""
    last_key: str = ""
    steps: dict[str, set[int]] = field(default_factory=dict)
    hazardous: int = 0

    def text(self, caution: str) -> str:
        card = self.knowledge.cautions[caution]
        return f"{card.hazard} {card.consequence} {card.avoidance}"

    def saw(self, prompt: Prompt, events: Sequence[Event], new: Sequence[Event], key: str) -> None:
        """Judge what a reply to a prompt added to the job; raises `Broken`."""
        for event in new:
            if self._gap(event.time):
                self.keys.clear()
                self.read.clear()
            if isinstance(event, Acknowledged):
                self._acknowledged(prompt, event, key)
            elif isinstance(event, (Answered, Measured, Stepped)):
                self._done(prompt, event, events)
            elif isinstance(event, Read):
                self._whole(prompt, event)
            self._after(event)
        self.last_key = key or self.last_key

    def _gap(self, time: str) -> bool:
        if not time or not self.time:
            return False
        gap = datetime.fromisoformat(time) - datetime.fromisoformat(self.time)
        return abs(gap.total_seconds()) > 1800

    def _after(self, event: Event) -> None:
        self.time = event.time or self.time
        if isinstance(event, (Happened, HandedOver, Resumed)):
            self.keys.clear()
        if isinstance(event, (HandedOver, Resumed)):
            self.read.clear()
        if isinstance(event, Happened):
            self.holds = (self.holds | FILLS.get(event.what, set())) - EMPTIES.get(
                event.what, set()
            )

    def _whole(self, prompt: Prompt, event: Read) -> None:
        """What is kept as read stood whole on this very screen."""
        whole = {c.text for c in prompt.cautions if not c.again}
        for caution in event.cautions:
            if self.text(caution) not in whole:
                raise Broken(f"{prompt.id}: '{caution}' kept as read, and it did not stand whole")
            self.read.add((event.person, caution))

    def _shown(self, prompt: Prompt, person: str) -> set[str]:
        """Texts that this person read: whole here, or short here and whole in this visit."""
        return {c.text for c in prompt.cautions if not c.again or (person, c.id) in self.read}

    def _acknowledged(self, prompt: Prompt, event: Acknowledged, key: str) -> None:
        if prompt.kind == "caution":
            if key == self.last_key:
                raise Broken(f"{prompt.id}: acknowledged by the key that was pressed last")
            if "skip" in prompt.commands and prompt.id.startswith("step:"):
                raise Broken(f"{prompt.id}: the cautions of a sheet can be skipped")
        shown = self._shown(prompt, event.person)
        for hazard in event.hazards:
            if not {self.text(c) for c in TEXTS[hazard]} <= shown:
                raise Broken(f"{prompt.id}: '{hazard}' acknowledged, its cautions not shown whole")
            self.keys.setdefault((event.person, hazard), set()).add(event.supervisor)

    def _done(
        self, prompt: Prompt, event: Answered | Measured | Stepped, events: Sequence[Event]
    ) -> None:
        if isinstance(event, Stepped):
            step = self.knowledge.sheets[event.stage].steps[event.number]
            acts = [*step.does, *step.marks]
            if event.number != self._next(event.stage, events):
                raise Broken(f"{event.stage}: step {event.number} out of its order")
            self._way(event.stage, event.number, acts, events)
            self.steps.setdefault(event.stage, set()).add(event.number)
        else:
            check = self.knowledge.checks.get(event.ask)
            if check is None or (isinstance(event, Answered) and event.state == "not_sure"):
                return
            acts = list(check.does)
            if prompt.id == "five_places" and not {*EVENTS, "loaded"} & set(acts):
                # To look is no deed: what was seen is said with its caution in the judgement.
                return
            if "opened" in acts and not self._ready(event.ask, events):
                raise Broken(f"{event.ask}: opened without notes or without 'can we close it'")
            trapped = self._sign(events) and "negative" in self.holds
            if trapped and EVENTS & set(acts) and not self._clears(event.ask):
                raise Broken(f"{event.ask}: done to a shock with a sign of trapped gas")
            if {"pumped", "refilled"} & set(acts) and self._damaged(events):
                raise Broken(f"{event.ask}: filled although it may be damaged")
        shown = self._shown(prompt, event.person)
        for hazard in self._live(prompt.id, acts):
            self.hazardous += 1
            for caution in TEXTS[hazard]:
                if self.text(caution) not in shown:
                    raise Broken(f"{prompt.id}: '{caution}' does not stand before it")
            if hazard in KEYED:
                self._keyed(prompt.id, event.person, hazard, acts)

    def _next(self, stage: str, events: Sequence[Event]) -> int | None:
        """The first step that is not done and that nothing told of the shock leaves out."""
        back = {e.number for e in events if isinstance(e, Withdrawn)}
        told: dict[str, object] = {}
        for number, event in enumerate(events):
            if isinstance(event, Described) and number not in back:
                told.update(event.shock)
        for number, step in enumerate(self.knowledge.sheets[stage].steps):
            other = any(told.get(name, has) != has for name, has in step.applies_when.items())
            if number not in self.steps.get(stage, set()) and not other:
                return number
        return None

    def _live(self, ident: str, acts: Sequence[str]) -> list[str]:
        """Hazards of what is done, act by act, with what the chambers hold by then."""
        holds, live = set(self.holds), []
        for act in acts:
            if act in OPENS and "air" in holds:
                raise Broken(f"{ident}: '{act}' while nobody has proved the air gone")
            live += [
                h for h in MUST.get(act, ()) if not CHAMBERS.get(h) or holds & set(CHAMBERS[h])
            ]
            holds = (holds | FILLS.get(act, set())) - EMPTIES.get(act, set())
        return list(dict.fromkeys(live))

    def _keyed(self, ident: str, person: str, hazard: str, effects: Sequence[str]) -> None:
        if (person, hazard) not in self.keys:
            raise Broken(f"{ident}: '{hazard}' not acknowledged by {person} in this state")
        right = "charge" if CHARGE_SIDE & set(effects) else "air_side"
        if self.rights is None or right in self.rights.get(person, ()):
            return
        seconds = self.keys[person, hazard] - {"", person}
        if not any({"supervise", right} <= self.rights.get(boss, frozenset()) for boss in seconds):
            raise Broken(f"{ident}: {person} has no right '{right}' and no supervisor signed")

    def _way(
        self, stage: str, number: int, effects: Sequence[str], events: Sequence[Event]
    ) -> None:
        card = self.knowledge.sheets[stage]
        trapped = self._sign(events) and stage != "do_not_open" and "negative" in self.holds
        if trapped and EVENTS & set(effects):
            raise Broken(f"{stage}: step {number} done under a sign of trapped gas")
        fills = any({"pumped", "refilled"} & set(step.does) for step in card.steps)
        goes_out = stage in ("do_not_open", "replace_or_refer")
        if fills and number == 0 and not goes_out and self._damaged(events, unseen=True):
            raise Broken(f"{stage}: begun although it may be damaged, and it fills")
        lets_out = any({"vented", "opened"} & set(step.does) for step in card.steps)
        if lets_out and not self._agreed(stage, events):
            raise Broken(f"{stage}: gone through without the customer's approval")
        if {"vented", "opened"} & set(effects):
            before = [n for n in self.steps.get(stage, ()) if n < number]
            marks = {m for n in before for m in card.steps[n].marks}
            if not {"written_down", "can_close_again"} <= marks:
                raise Broken(f"{stage}: opened before notes and 'can we close it again'")

    def _agreed(self, stage: str, events: Sequence[Event]) -> bool:
        wider = {
            "air_can_service": ("damper_service", "full_service", "replace_or_refer"),
            "damper_service": ("full_service", "replace_or_refer"),
            "full_service": ("replace_or_refer",),
            "valve_core": (
                "air_can_service",
                "damper_service",
                "full_service",
                "replace_or_refer",
            ),
            "recharge": ("damper_service", "full_service", "replace_or_refer"),
        }
        yes = False
        for answer in (e for e in events if isinstance(e, Approved)):
            if answer.declined:
                yes = yes and bool(answer.stages) and stage not in answer.stages
            elif {stage, *wider.get(stage, ())} & set(answer.stages):
                yes = True
        return yes

    def _ready(self, ask: str, events: Sequence[Event]) -> bool:
        gone = {e.number for e in events if isinstance(e, Withdrawn)}
        for number in range(len(events) - 1, -1, -1):
            event = events[number]
            if isinstance(event, HandedOver):
                return False
            if isinstance(event, CheckReadied) and event.check == ask and number not in gone:
                return True
        return False

    def _clears(self, ask: str) -> bool:
        return any(ask in (clearing or ()) for _, clearing in TRAPPED.values())

    def _sign(self, events: Sequence[Event]) -> bool:
        return bool(standing(self.knowledge, events, TRAPPED))

    def _damaged(self, events: Sequence[Event], *, unseen: bool = False) -> bool:
        """Reported and not taken away; ``unseen``: and the bench has not found it itself."""
        found = set(standing(self.knowledge, events, DAMAGED))
        if unseen:
            found -= set(standing(self.knowledge, events, DAMAGED, ("bench",)))
        return bool(found)


def standing(
    knowledge: Knowledge,
    events: Sequence[Event],
    table: Mapping[str, Row],
    by: tuple[str, ...] = ("customer", "counter", "bench"),
) -> list[str]:
    """Findings of a table that were reported in a bad state and that nothing took away since."""
    gone = {e.number for e in events if isinstance(e, Withdrawn)}
    cards = {**knowledge.symptoms, **knowledge.checks}
    last: dict[tuple[str, str], int] = {}
    told: list[int] = []
    for number, event in enumerate(events):
        if isinstance(event, Answered) and number not in gone and event.ask in cards:
            if event.state == "not_sure":
                continue
            if event.by == "customer":
                told.append(number)
            last[event.ask, event.by] = number
    found = []
    seen = [n for (_, by), n in last.items() if by != "customer"]
    for finding, (states, clearing) in table.items():
        for number in (*told, *seen):
            report = events[number]
            assert isinstance(report, Answered)
            if cards[report.ask].observes != finding or report.state not in states:
                continue
            if report.by not in by:
                continue
            if not any(_takes_away(cards, events, number, other, finding, states, clearing)
                       for other in seen):  # fmt: skip
                found.append(finding)
                break
    return found


def _takes_away(
    cards: Mapping[str, object],
    events: Sequence[Event],
    number: int,
    other: int,
    finding: str,
    states: tuple[str, ...],
    clearing: tuple[str, ...] | None,
) -> bool:
    """The report ``other`` says that ``number`` is not so, and is the better witness."""
    raised, well = events[number], events[other]
    assert isinstance(raised, Answered) and isinstance(well, Answered)
    observes = cards[well.ask].observes  # type: ignore[attr-defined]
    if clearing is None and observes != finding:
        return False
    if clearing is not None and well.ask not in clearing:
        return False
    if observes == finding and well.state in (*states, "long"):
        return False
    if observes != finding and well.state not in ("no", "none", "empty"):
        return False
    if any(isinstance(e, Happened) for e in events[other:number]):
        return False  # something was done to it since
    rank = {"customer": 0, "counter": 1, "bench": 2}
    better = rank[well.by] - rank[raised.by]
    return better > 0 or (
        better == 0 and well.by == "bench" and clearing is not None and well.ask != raised.ask
    )
