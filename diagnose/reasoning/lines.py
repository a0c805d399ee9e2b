"""The lines of a judgement: what each part says, and no more."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from pydantic import BaseModel, ConfigDict

from diagnose.knowledge.models import Caution

__all__ = [
    "AnswerLine",
    "CauseLine",
    "CautionLine",
    "FloorLine",
    "HeardLine",
    "JobLine",
    "NextStep",
    "NotHeardLine",
    "Part",
    "Range",
    "ReadingLine",
    "StageLine",
    "Standing",
    "Surprise",
    "SymptomLine",
    "caution_lines",
    "caution_text",
]


class Part(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class SymptomLine(Part):
    """What counts as known of one finding and how sure; ``by`` says who reported it.

    ``outdone_by``: the look or reading that speaks against these words.
    """

    id: str
    state: str
    how_sure: float
    by: str
    words: str = ""
    denied: bool = False
    text: str = ""
    outdone_by: str = ""


#: what became of a reading of the words
Standing = Literal["counts", "asked", "struck", "answered", "unsure"]


class HeardLine(Part):
    """One reading of the customer's words, and what became of it.

    ``probability``: that the words say this, as they were heard. ``words``: ``text[start:end]`` of
    the complaint; the shock's history, if there is one, follows it after '. '. ``standing``: it
    ``counts``; it is ``asked`` about and weighs nothing; it was ``struck`` out; the customer's
    ``answered`` state, which this line names, counts instead; or the customer was ``unsure``.
    """

    id: str
    state: str
    probability: float
    words: str
    start: int
    end: int
    denied: bool
    text: str
    standing: Standing

    @property
    def holds(self) -> bool:
        """It weighs, or an answer to the same does."""
        return self.standing in ("counts", "answered")


class NotHeardLine(Part):
    """Words of content that no reading used: ``text[start:end]`` of the same text."""

    words: str
    start: int
    end: int


class CauseLine(Part):
    id: str
    name: str
    probability: float
    plain: str = ""


class JobLine(Part):
    """The small job that is all that an outcome needs here."""

    id: str
    name: str


class StageLine(Part):
    """One outcome of the plan.

    ``name``: of what is done: of the outcome, or of the small ``job`` that is done in its place.
    ``cures``: chance that the whole plan cures every present cause. ``inside``: what is seen once
    it is open if the call is right, by the likeliest causes. ``within``: another fault's outcome,
    done in the same opening as the one before it, whose minutes and parts hold it. ``holds``: it is
    not opened until a sign is cleared, whatever else is planned.
    """

    id: str
    # Judgements that older versions kept have none.
    job: JobLine | None = None
    name: str
    cures: float
    expected_cost: float
    currency: str
    minutes: float
    parts: float
    kit: list[str]
    reason: str
    # Judgements that older versions kept have none.
    inside: list[str] = []
    within: bool = False
    holds: bool = False

    @property
    def sheet(self) -> str:
        """Id of the sheet to go by: of the small job, else of the outcome."""
        return self.id if self.job is None else self.job.id


class CautionLine(Part):
    """A caution.

    ``again``: read whole in this visit, so that `said` is its first sentence. ``outside``: meets
    whoever rides, carries or posts the shock, and not only whoever works on it.
    """

    id: str
    signal_word: str
    text: str
    again: bool = False
    outside: bool = False

    @property
    def said(self) -> str:
        """What stands before the step: the whole text, or again its first sentence."""
        return self.text.partition(". ")[0] + "." if self.again else self.text


class FloorLine(Part):
    """What stands whatever is believed: the finding, who reported it, what it forbids, what lifts
    it.
    """

    finding: str
    name: str
    state: str
    by: str
    id: str
    ride: str
    forbids: list[str]
    lifted_by: list[str]
    why: str


class AnswerLine(Part):
    key: str
    state: str
    text: str
    means: str = ""


class ReadingLine(Part):
    """What is to be typed. ``unit``: of a bare number. ``usual``: what is usual, in words.
    ``proposed``: what is known of it already.
    """

    name: str
    text: str
    unit: str
    optional: bool = False
    usual: str = ""
    proposed: str = ""


class NextStep(Part):
    """What to do next. ``why`` says what it is worth."""

    kind: Literal["ask", "check", "book_inspection", "done"]
    id: str | None = None
    question: str = ""
    answers: list[AnswerLine] = []
    readings: list[ReadingLine] = []
    steps: list[str] = []
    minutes: float = 0.0
    cautions: list[CautionLine] = []
    why: str = ""


class Surprise(Part):
    """How badly the answers fit one another (log10 of the conflict), and the likeliest misfits."""

    value: float
    suspects: list[str]


class Range(Part):
    """Lowest and highest plausible outcome, and what the customer is told of the price.

    ``price``: of the plan, all its outcomes together; ``from_price``, ``to_price``: of the cheapest
    and the dearest of what is plausible; ``call_before``: not to be passed without a call.
    ``lowest_name``, ``highest_name``: of what is done, a small job in the place of its outcome.
    """

    lowest: str
    highest: str
    # Judgements that older versions kept have neither.
    lowest_name: str = ""
    highest_name: str = ""
    price: float = 0.0
    from_price: float = 0.0
    to_price: float = 0.0
    call_before: float
    currency: str

    @property
    def named(self) -> tuple[str, str]:
        """Lowest and highest in words."""
        low, high = self.lowest_name or self.lowest, self.highest_name or self.highest
        return low.replace("_", " "), high.replace("_", " ")

    @property
    def told(self) -> str:
        """The price as the customer is told it.

        >>> Range(lowest="a", highest="b", price=67, from_price=48, to_price=110, call_before=80,
        ...       currency="EUR").told
        'about 67 EUR, 48 to 110 if it is something else; not above 80 EUR without a call'
        """
        low, high = f"{self.from_price:.0f}", f"{self.to_price:.0f}"
        span = "" if low == high else f", {low} to {high} if it is something else"
        limit = f"not above {self.call_before:.0f} {self.currency} without a call"
        return f"about {self.price:.0f} {self.currency}{span}; {limit}" if self.price else limit


def caution_text(card: Caution) -> str:
    """Hazard, consequence and avoidance as one text, whole."""
    return f"{card.hazard} {card.consequence} {card.avoidance}"


def caution_lines(
    cards: Iterable[Caution], read: frozenset[str] = frozenset()
) -> list[CautionLine]:
    """Cautions as they are shown everywhere. ``read``: those read whole in this visit."""
    return [
        CautionLine(
            id=card.id,
            signal_word=card.signal_word,
            text=caution_text(card),
            again=card.id in read,
        )
        for card in cards
    ]
