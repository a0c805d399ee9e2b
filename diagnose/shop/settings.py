"""The shop's own file, ``shop.yaml`` in its folder: what it offers and has, who may do what, money.

Rules
-----
- No file, or a part left out: the shop does and has everything, and the pack's money holds.
- Every problem of the file is found at once, with its line; a wrong file is never half used,
  because a right or a tool that is missing by mistake decides what is opened.
- The file is the shop's: this program reads it and never writes it. Rights that a trainer signed
  lie beside it and are added to those of the people it lists; where it lists nobody they change
  nothing, as everybody may do everything.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import partial
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from diagnose.errors import InputError, Problem
from diagnose.job.gate import SUPERVISE, House, Roles
from diagnose.knowledge.loader import Knowledge
from diagnose.knowledge.models import EachDesk, Economics
from diagnose.knowledge.yaml_lines import Document, read_yaml
from diagnose.nearest import nearest
from diagnose.shop.rights import held, read

__all__ = ["SHOP_FILE", "Money", "Shop", "equipment_ids", "read_shop", "shop_problems"]

#: name of the file inside the shop's folder
SHOP_FILE = "shop.yaml"

#: in the order of `date.weekday`
_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
Weekday = Literal["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"]

Initials = Annotated[str, Field(min_length=1, max_length=12)]
Hours = Annotated[float, Field(gt=0, le=10_000)]


#: field of a job that tells the hours since a service
_SERVICE = re.compile(r"hours_since_(\w+)_service")


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Money(_Part):
    """The shop's own prices; what is left out holds as in the pack.

    Rates in the currency for each minute, the rest in the currency.
    """

    currency: Annotated[str, Field(min_length=1, max_length=8)] | None = None
    rate_per_minute: Annotated[float, Field(gt=0)] | None = None
    counter_rate_per_minute: Annotated[float, Field(gt=0)] | None = None
    comeback: Annotated[float, Field(gt=0)] | None = None
    sent_home: Annotated[float, Field(ge=0)] | None = None
    failed_in_shop: Annotated[float, Field(ge=0)] | None = None
    needless_opening: Annotated[float, Field(ge=0)] | None = None
    needless_work: Annotated[float, Field(ge=0)] | None = None
    requote: Annotated[float, Field(gt=0)] | None = None
    ride_on_stop: Annotated[float, Field(ge=0)] | None = None
    gently_on_stop: Annotated[float, Field(ge=0)] | None = None
    ride_on_gently: Annotated[float, Field(ge=0)] | None = None
    gently_for_nothing: Annotated[float, Field(ge=0)] | None = None
    stop_for_nothing: Annotated[float, Field(ge=0)] | None = None
    interruption: EachDesk | None = None
    patience: EachDesk | None = None


class Shop(_Part):
    """The shop's settings.

    ``stages``: stages offered, None: all. ``equipment``: what checks and stages name as needed,
    None: everything. ``people``: initials -> rights, empty: everybody may do everything.
    ``service_hours``: riding hours between services, for ``air`` and ``full``.
    ``charge_fittings``: words for the fittings that the shop has for a gas charge, None: all.
    ``approvals``: every stage that opens something waits for the customer's word; without it only
    a stage about which somebody asked the customer does.
    ``ready_in_days``: working days after which the customer is told that it is ready, None: no day
    is named. ``closed_on``: weekdays that do not count.
    """

    name: str = ""
    stages: frozenset[str] | None = None
    equipment: frozenset[str] | None = None
    people: dict[Initials, frozenset[str]] = {}
    money: Money = Money()
    service_hours: dict[str, Hours] = {}
    charge_fittings: frozenset[str] | None = None
    approvals: bool = True
    ready_in_days: Annotated[int, Field(ge=0, le=365)] | None = None
    closed_on: frozenset[Weekday] = frozenset()

    @property
    def roles(self) -> Roles:
        """Who may do what."""
        return Roles(self.people)

    def economics(self, knowledge: Knowledge) -> Economics:
        """The pack's money with the shop's own in its place."""
        own = {name: value for name, value in self.money if value is not None}
        return knowledge.pack.economics.model_copy(update=own)

    def missing_for(self, knowledge: Knowledge, sheet: str) -> list[str]:
        """What the shop lacks to do a stage or small job and close the shock again; empty: it can.

        A small job is offered with its stage.
        """
        if self.stages is not None and knowledge.stage_of(sheet) not in self.stages:
            return ["it is not offered"]
        if self.equipment is None:
            return []
        return [n for n in knowledge.sheets[sheet].shop_needs if n not in self.equipment]

    def lacks(
        self, knowledge: Knowledge, sheet: str, values: Mapping[str, float | str]
    ) -> list[str]:
        """What the shop lacks to do a stage or small job and close the shock of this data sheet
        again.
        """
        lacking = self.missing_for(knowledge, sheet)
        wanted = knowledge.device.fitting
        if self.charge_fittings is None or wanted is None or wanted.value not in values:
            return lacking
        if wanted.chamber not in knowledge.sheets[sheet].opens:
            return lacking
        fitting = values[wanted.value]
        has = any(word.casefold() in str(fitting).casefold() for word in self.charge_fittings)
        return lacking if has else [*lacking, f"{wanted.value.replace('_', ' ')}: {fitting}"]

    def able(self, knowledge: Knowledge) -> frozenset[str] | None:
        """Stages and small jobs that may be planned, None: all. What opens nothing and goes out can
        always be.
        """
        if self.stages is None and self.equipment is None:
            return None
        does = {sheet for sheet in knowledge.sheets if not self.missing_for(knowledge, sheet)}
        outcomes = knowledge.device.stages
        return frozenset(does | {outcomes.nothing, outcomes.refer, outcomes.shut})

    def house(self, knowledge: Knowledge) -> House:
        """How the shop works, as the gate asks it."""
        closed = frozenset(map(_WEEKDAYS.index, self.closed_on))
        return House(self.approvals, partial(self.lacks, knowledge), self.ready_in_days, closed)


def equipment_ids(knowledge: Knowledge) -> list[str]:
    """Everything that a check or a stage may name as needed, in order of the alphabet."""
    return sorted(knowledge.pack.equipment)


def read_shop(folder: Path, knowledge: Knowledge) -> Shop:
    """The settings of this folder; the defaults where it has no file.

    Raises
    ------
    InputError : the file is wrong; names the first problem and how to see all.
    """
    shop, problems = _read(folder, knowledge)
    if shop is None:
        first, more = problems[0], len(problems) - 1
        follow = " All of them: diagnose shop check" if more else ""
        raise InputError(
            first.what, where=f"{first.file}:{first.line}", next_step=first.next_step + follow
        )
    return shop


def shop_problems(folder: Path, knowledge: Knowledge) -> list[Problem]:
    """Every problem of the shop's file; none if there is no file."""
    return _read(folder, knowledge)[1]


def _read(folder: Path, knowledge: Knowledge) -> tuple[Shop | None, list[Problem]]:
    path = folder / SHOP_FILE
    if not path.exists():
        return Shop(), []
    problems: list[Problem] = []
    document = read_yaml(path, str(path), problems)
    if document is None or problems:
        return None, problems
    value = {} if document.value is None else document.value
    if not isinstance(value, dict):
        problem = Problem(str(path), 1, "the settings are a mapping of fields.", "Example: name: X")
        return None, [problem]
    try:
        shop = Shop.model_validate(value)
    except ValidationError as error:
        return None, [_problem(document, dict(detail)) for detail in error.errors()]
    problems = sorted(_unknown(shop, document, knowledge))
    signed = held(read(folder, knowledge.rights, problems)) if shop.people else {}
    people = dict(shop.people)
    for who, rights in signed.items():
        people[who] = people.get(who, frozenset()) | frozenset(rights)
    return (None if problems else shop.model_copy(update={"people": people})), problems


def _problem(document: Document, detail: Mapping[str, Any]) -> Problem:
    place = tuple(part for part in detail["loc"] if part != "[key]")
    field = ".".join(map(str, place))
    what = f"{field}: {str(detail['msg'])[:1].lower()}{str(detail['msg'])[1:]}."
    known = list(Shop.model_fields) if len(place) == 1 else list(Money.model_fields)
    hint = ""
    if detail["type"] == "extra_forbidden":
        what, hint = f"'{field}' is no setting.", nearest(str(place[-1]), known)
    return Problem(document.file, document.line(place), what, hint)


def _unknown(shop: Shop, document: Document, knowledge: Knowledge) -> Iterator[Problem]:
    """Names that no card knows: a tool that is spelt wrong would silently count as missing."""
    lists = (
        ("stages", shop.stages or (), list(knowledge.stages)),
        ("equipment", shop.equipment or (), equipment_ids(knowledge)),
    )
    for field, names, known in lists:
        for name in names:
            if name not in known:
                index = document.value[field].index(name)
                line = document.line((field, index))
                what = f"{field}: there is no '{name}'."
                yield Problem(document.file, line, what, nearest(name, known))
    for service in shop.service_hours:
        if service not in _services(knowledge):
            line = document.line(("service_hours", service))
            what = f"service_hours: no job tells the hours since a '{service}' service."
            yield Problem(document.file, line, what, f"Use {' or '.join(_services(knowledge))}.")
    for who, rights in shop.people.items():
        for right in sorted(rights - knowledge.rights.keys()):
            line = document.line(("people", who))
            what = f"people.{who}: '{right}' is no right."
            yield Problem(document.file, line, what, nearest(right, knowledge.rights))
    if shop.people and not any(SUPERVISE in rights for rights in shop.people.values()):
        yield Problem(
            document.file,
            document.line(("people",)),
            "people: nobody may supervise.",
            "Give one of them the right supervise.",
        )


def _services(knowledge: Knowledge) -> list[str]:
    """Services since which a job may tell the hours."""
    told = (_SERVICE.fullmatch(name) for name in knowledge.device.fields)
    return [match.group(1) for match in told if match]
