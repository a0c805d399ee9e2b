"""No pack speaks in the words of another: a coil shock's talk and papers know no air and no pump.

Reaches casebook.runner too.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

import pytest

from diagnose.conversation.conversation import Conversation
from diagnose.conversation.prompts import Prompt
from diagnose.job.events import Event
from diagnose.job.job_file import events_of
from diagnose.job.state import fold
from diagnose.reasoning.judgement import judge
from diagnose.reports.handover import handover
from diagnose.reports.job_sheet import job_sheet
from diagnose.reports.referral import referral
from diagnose.reports.ticket import ticket
from tests.casebook.playing import CASES
from tests.casebook.runner import play
from tests.real_pack import pack_reasoner

COIL = "rear_coil_shock"
COIL_CASES = [ident for ident, case in CASES.items() if case.pack == COIL]
OF_AIR_SHOCKS = re.compile(r"\b(air|pump(s|ed)?|valve core|volume spacers?|negative side)\b", re.I)
#: air that is breathed, that a bottle's gas displaces, that a heater blows
OTHER_AIR = re.compile(r"fresh air|displaces air|hot air")


def words_of_air_shocks(text: str) -> list[str]:
    found = OF_AIR_SHOCKS.finditer(OTHER_AIR.sub("", " ".join(text.split())))
    return [match.string[max(0, match.start() - 40) : match.end() + 20] for match in found]


@pytest.mark.parametrize("ident", COIL_CASES)
def test_a_talk_about_a_coil_shock_knows_no_air(
    ident: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    said: list[Prompt] = []

    class Overheard(Conversation):
        def prompt(self, events: Sequence[Event]) -> Prompt:
            said.append(super().prompt(events))
            return said[-1]

    monkeypatch.setattr("tests.casebook.runner.Conversation", Overheard)
    play(pack_reasoner(COIL), CASES[ident])
    assert said
    assert [words for prompt in said for words in words_of_air_shocks(repr(prompt))] == []


@pytest.mark.parametrize("ident", COIL_CASES)
def test_papers_of_a_coil_shock_know_no_air(ident: str) -> None:
    case, reasoner = CASES[ident], pack_reasoner(COIL)
    knowledge = reasoner.knowledge
    data = {"complaint": case.complaint, "shock": case.shock, "at": "bench"}
    events, _ = events_of(data | {"answers": {**case.counter, **case.bench}}, knowledge)
    job = fold(events)
    judgement = judge(reasoner, reasoner.view(job))
    for paper in (ticket, job_sheet, handover, referral):
        text = paper(judgement, job, knowledge).text(80)
        assert len(text) > 200
        assert words_of_air_shocks(text) == [], paper.__name__
