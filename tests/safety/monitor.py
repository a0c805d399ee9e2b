"""An independent witness of conversations: what was shown, pressed and done, and in which state.

It shares no function with the gate. What an effect does to a chamber, when an acknowledgement
lapses and what must stand before a deed is written here a second time, by hand.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from diagnose.knowledge.loader import Knowledge
from diagnose.session.events import (
    Acknowledged,
    Answered,
    Approved,
    Event,
    HandedOver,
    Happened,
    Measured,
    Read,
    Resumed,
    Skipped,
    Stepped,
    Withdrawn,
)
from diagnose.session.prompts import Prompt

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

KEYED = ("trapped_negative", "damper_charge", "air_pressure", "over_pressure", "ifp_projectile")

#: act -> hazards that its doer must know
MUST: dict[str, tuple[str, ...]] = {
    "vented": ("air_pressure", "trapped_negative"),
    "pumped": ("air_pressure", "trapped_negative", "over_pressure", "damaged_part"),
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
    "charged": ("over_pressure", "wrong_gas", "fluid_jet"),
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
EVENTS = {"vented", "pumped", "cycled", "opened", "refilled", "off_bike"}
OPENS = {"core_out", "opened", "can_off"}
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
    steps: dict[str, int] = field(default_factory=dict)
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
            step = self.knowledge.stages[event.stage].steps[event.number]
            acts = [*step.does, *step.marks]
            if event.number != self.steps.get(event.stage, 0):
                raise Broken(f"{event.stage}: step {event.number} out of its order")
            self.steps[event.stage] = event.number + 1
            self._way(event.stage, event.number, acts, events)
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
        shown = self._shown(prompt, event.person)
        for hazard in self._live(prompt.id, acts):
            self.hazardous += 1
            for caution in TEXTS[hazard]:
                if self.text(caution) not in shown:
                    raise Broken(f"{prompt.id}: '{caution}' does not stand before it")
            if hazard in KEYED:
                self._keyed(prompt.id, event.person, hazard, acts)

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
        card = self.knowledge.stages[stage]
        trapped = self._sign(events) and stage != "do_not_open" and "negative" in self.holds
        if trapped and EVENTS & set(effects):
            raise Broken(f"{stage}: step {number} done under a sign of trapped gas")
        if card.opens and not self._agreed(stage, events):
            raise Broken(f"{stage}: gone through without the customer's approval")
        if {"vented", "opened"} & set(effects):
            marks = {m for step in card.steps[:number] for m in step.marks}
            if not {"written_down", "can_close_again"} <= marks:
                raise Broken(f"{stage}: opened before notes and 'can we close it again'")

    def _agreed(self, stage: str, events: Sequence[Event]) -> bool:
        wider = {
            "air_can_service": ("damper_service", "full_service", "replace_or_refer"),
            "damper_service": ("full_service", "replace_or_refer"),
            "full_service": ("replace_or_refer",),
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
            if isinstance(event, Skipped) and event.ask == f"ready:{ask}" and number not in gone:
                return True
        return False

    def _clears(self, ask: str) -> bool:
        return any(ask in sign.cleared_by for sign in self.knowledge.pack.signs)

    def _sign(self, events: Sequence[Event]) -> bool:
        return bool(standing(self.knowledge, events))


def standing(knowledge: Knowledge, events: Sequence[Event]) -> list[str]:
    """Signs of trapped gas that were reported and not cleared at the bench."""
    gone = {e.number for e in events if isinstance(e, Withdrawn)}
    last: dict[tuple[str, str], str] = {}
    for number, event in enumerate(events):
        if isinstance(event, Answered) and number not in gone:
            last[event.ask, event.by] = event.state
    found = []
    for sign in knowledge.pack.signs:
        states = knowledge.findings[sign.finding].states
        bad = states[states.index(sign.at_least) :]
        cards = {**knowledge.symptoms, **knowledge.checks}
        raised = any(
            state in bad and cards[ask].observes == sign.finding for (ask, _), state in last.items()
        )
        cleared = any(
            by == "bench"
            and ask in sign.cleared_by
            and state == knowledge.findings[cards[ask].observes].states[0]
            for (ask, by), state in last.items()
        )
        if raised and not cleared:
            found.append(sign.id)
    return found
