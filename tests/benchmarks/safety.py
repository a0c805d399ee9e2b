"""How many cautions and keys a job costs: ``python tests/benchmarks/safety.py [CASES]``.

Plays cases at the counter and goes through the sheets of the stages that open something, with every
caution acknowledged; prints what a person had to read and press. Not collected by pytest.
"""

from __future__ import annotations

import statistics
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from diagnose.casebook.cases import load_cases
from diagnose.conversation.conversation import Conversation
from diagnose.job.events import Acknowledged, Event, HandedOver, SheetChosen
from diagnose.job.job_file import events_of
from diagnose.job.state import fold
from diagnose.knowledge.loader import load
from diagnose.knowledge.root import cases_root, knowledge_root
from diagnose.reasoning.judgement import judge
from diagnose.reasoning.reasoner import Reasoner
from tests.casebook.runner import _talk


def main() -> None:
    """Print medians, largest values, and the keys of each sheet."""
    knowledge = load(knowledge_root(None))
    reasoner = Reasoner(knowledge)
    talk = Conversation(reasoner)
    most = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    rows: list[tuple[int, int, int, str]] = []
    for case in load_cases(cases_root(None), knowledge)[:most]:
        job = {"complaint": case.complaint, "shock": case.shock}
        events: list[Event] = list(events_of(job, knowledge)[0])
        _talk(talk, events, case)
        keys = sum(isinstance(e, Acknowledged) for e in events)
        counter = judge(reasoner, reasoner.view(fold(events)))
        events.append(HandedOver(to="", at="bench"))
        _talk(talk, events, case)
        bench_keys = sum(isinstance(e, Acknowledged) for e in events) - keys
        rows.append((keys, len(counter.cautions), bench_keys, counter.stage.id))
    print(f"{len(rows)} cases")
    for name, column in (
        ("keys at the counter", 0),
        ("cautions at the counter", 1),
        ("keys of bench checks", 2),
    ):
        values = [row[column] for row in rows]
        print(f"{name}: median {statistics.median(values):g}, largest {max(values)}")
    for ident, stage in knowledge.stages.items():
        print(f"keys of the sheet {ident}: {_sheet_keys(talk, ident)} in {len(stage.steps)} steps")


def _sheet_keys(talk: Conversation, ident: str) -> int:
    events: list[Event] = [HandedOver(to="AB", at="bench"), SheetChosen(stage=ident)]
    asks = {ask for step in talk.reasoner.knowledge.sheets[ident].steps for ask in step.asks}
    for _ in range(200):
        prompt = talk.prompt(events, "AB")
        if not prompt.id.startswith(("approval:", "step:", "inside:")) and prompt.id not in asks:
            break
        events += talk.reply(events, prompt, prompt.answers[0].key, person="AB")
    return sum(isinstance(e, Acknowledged) for e in events)


if __name__ == "__main__":
    main()
