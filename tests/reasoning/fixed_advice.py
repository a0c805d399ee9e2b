"""A conversation whose advice and plan are fixed: what comes next rests on the events alone."""

from __future__ import annotations

from typing import Any

from tests.real_pack import shop_reasoner
from tests.safety.attack import StubReasoner, stub_advice, stub_decision

__all__ = ["FixedAdvice"]


class FixedAdvice(StubReasoner):
    """Advises one check or question until it was answered, and plans one stage."""

    def __init__(self, advice: str, stage: str, understood: bool) -> None:
        super().__init__(shop_reasoner().knowledge, 0)
        self.advice, self.stage, self.understood = advice, stage, understood

    def view(self, job: Any) -> Any:
        view = super().view(job)
        open_ = self.advice and self.advice not in {ask for ask, _ in job.reports}
        view.advice = stub_advice([self.advice] if open_ else [], 0 if open_ else None)
        view.decision, view.belief.signs = stub_decision(self, [self.stage], False), []
        if not self.understood:
            view.belief.items, view.belief.complained = [], False
        return view
