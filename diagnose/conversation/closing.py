"""Closing a job: what was really found and done, and whether it is cured. One way for every door.

Rules
-----
- What is asked next follows from what was said so far; each answer is an event and can be taken
  back, and the last one closes the job.
- Nobody looked, unless it is said what was found: statistics must not take it for a repair.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from diagnose.belief.compiled import UNLISTED
from diagnose.conversation.end_record import (
    COMPLAINT_TEST,
    NOT_LOOKED,
    close,
    number,
    open_steps,
    open_words,
)
from diagnose.conversation.guarding import Desk
from diagnose.conversation.prompts import FOUND, Prompt, keyed
from diagnose.conversation.writing import take_line, unit_of
from diagnose.errors import InputError, RefusedError
from diagnose.job.ending import Ended, Ending
from diagnose.job.events import ClosingBegun, ClosingNoted, Event, Withdrawn
from diagnose.job.state import JobState, fold
from diagnose.job.written import LEFT, at_both_times, recorded
from diagnose.knowledge.loader import Knowledge
from diagnose.nearest import meant, nearest
from diagnose.reasoning.judgement import judge
from diagnose.reasoning.pricing import bill_of
from diagnose.reasoning.reasoner import View

__all__ = ["OUTSIDE", "closing_prompt", "closing_reply", "is_closing", "read_found"]

#: what the ids of the questions begin with, the first one aside
_OWN = "closing:"

#: the state of nothing having been wrong
_NO_FAULT = "no_fault"

#: words for what has no card of its own -> how it is stored
_SPECIAL: dict[str, list[str]] = {
    "none_of_these": [UNLISTED],
    UNLISTED: [UNLISTED],
    "nothing": [],
    _NO_FAULT: [],
    NOT_LOOKED: [NOT_LOOKED],
}

#: how a job ends without our repair, in words
OUTSIDE: dict[Ended, str] = {
    "not_wanted": "It was not wanted",
    "not_collected": "It was not collected",
    "replaced": "It was replaced",
    "referred": "It was referred to somebody else",
}

_OURS, _NO_MORE, _NOT_NOTED = "ours", "nothing_else", "not noted"

#: the answer that goes back to a sheet that is not through
_GO_ON = "go_on"

#: the answer that no test was repeated
_NO_TEST = "not_repeated"

#: causes that stand before the answers for what has no card, and checks that are offered as tests
_LIKELIEST, _TESTS = 5, 6


# what is asked ---------------------------------------------------------------------------------


def is_closing(ident: str) -> bool:
    """Whether a prompt of this id is answered by `closing_reply`."""
    return ident == FOUND or ident.startswith(_OWN)


def closing_prompt(desk: Desk, view: View) -> Prompt:
    """The next question of the end.

    Raises
    ------
    RefusedError : the closing was not begun.
    """
    ending = view.job.choices.ending
    prompt = None if ending is None else _next(desk, view, ending)
    if prompt is None:
        raise RefusedError("nothing is asked of the end.", next_step="Close the job.")
    return replace(
        prompt,
        judgement=judge(desk.reasoner, view) if prompt.id == FOUND else None,
        commands=("back", "safety", "leave"),
    )


def _next(desk: Desk, view: View, ending: Ending) -> Prompt | None:
    """What is not said yet and belongs to this end; None: all of it is said."""
    if ending.found is None:
        text = "What was really found?"
        return Prompt("question", FOUND, text, answers=_found_rows(desk, view))
    if UNLISTED in ending.found and not ending.words:
        return Prompt("text", f"{_OWN}words", "In words, what was it?")
    if ending.found == [NOT_LOOKED]:
        if ending.ended is None:
            ways = list(OUTSIDE.items())
            rows = keyed([*ways, (_OURS, "It was serviced all the same")])
            return Prompt("question", f"{_OWN}ended", "How did it end?", answers=tuple(rows))
        if ending.ended:
            return None
    elif ending.found and not ending.whole:
        return _more(desk, view, ending.found)
    return _work(desk, view, ending)


def _found_rows(desk: Desk, view: View) -> tuple[Any, ...]:
    causes = [ident for ident in view.belief.causes if ident != UNLISTED]
    rows = [(ident, desk.reasoner.knowledge.causes[ident].name) for ident in causes]
    own = [
        (UNLISTED, "Something that is not on the list"),
        (_NO_FAULT, "Nothing was wrong"),
        (NOT_LOOKED, "Nobody looked"),
    ]
    return tuple(keyed([*rows[:_LIKELIEST], *own, *rows[_LIKELIEST:]]))


def _more(desk: Desk, view: View, found: Sequence[str]) -> Prompt:
    own = {UNLISTED, *found}
    causes = desk.reasoner.knowledge.causes
    rows = [(_NO_MORE, "Nothing else")]
    rows += [(ident, causes[ident].name) for ident in view.belief.causes if ident not in own]
    if UNLISTED not in found:
        rows.insert(1, (UNLISTED, "Something that is not on the list"))
    answers = tuple(keyed(rows))
    return Prompt("question", f"{_OWN}more", "What else?", answers=answers, default=_NO_MORE)


def _work(desk: Desk, view: View, ending: Ending) -> Prompt | None:
    """What was done, what it took, whether it passed, how it was left."""
    called = judge(desk.reasoner, view).stage
    if ending.stage is None:
        sheets = desk.reasoner.knowledge.sheets
        rows = keyed([(ident, card.name) for ident, card in sheets.items()])
        text = "What was done?"
        return Prompt("question", f"{_OWN}stage", text, answers=tuple(rows), default=called.sheet)
    open_ = open_steps(desk.reasoner.knowledge, view.job)
    if open_ and ending.unticked is None:
        rows = keyed([(_GO_ON, "Go back to the sheet"),
                      ("left", "They were not done; it goes out as it is"),
                      ("done", "They were done, only not ticked")])  # fmt: skip
        text = f"{open_words(open_)} Done?"
        return Prompt("question", f"{_OWN}unticked", text, answers=tuple(rows))
    if ending.minutes is None:
        return Prompt("text", f"{_OWN}minutes", "Minutes?", default=f"{called.minutes:.6g}")
    if ending.parts is None:
        text = f"Parts, {desk.reasoner.money.currency}?"
        return Prompt("text", f"{_OWN}parts", text, default=f"{called.parts:.0f}")
    bill = bill_of(desk.reasoner, view.job, ending.stage, ending.minutes, ending.parts)
    if bill.over and not ending.called:
        rows = keyed([("called", "Called: the customer agrees to it"),
                      ("not_called", "Not called yet: save and leave")])  # fmt: skip
        text = f"{bill.words} That is more than was agreed: call before it is closed."
        return Prompt("question", f"{_OWN}called", text, answers=tuple(rows))
    if ending.test is None:
        answers = tuple(keyed(_tests(desk, view.job)))
        text = "Which test was repeated?"
        again = recorded(view.job, f"{desk.reasoner.knowledge.device.papers.own_test} as {LEFT}")
        test = COMPLAINT_TEST if again else _NO_TEST
        text = f"{text} Written down: {again}." if again else text
        return Prompt("question", f"{_OWN}test", text, answers=answers, default=test)
    if ending.test and ending.passed is None:
        rows = keyed([("passed", "It passed"), ("failed", "It did not pass")])
        return Prompt("question", f"{_OWN}passed", "Did it pass?", answers=tuple(rows))
    if ending.passed is not False:
        for name in desk.reasoner.knowledge.pack.as_left:
            known = at_both_times(view.job, desk.reasoner.knowledge.device, name)
            if name not in (ending.left or {}) and LEFT not in known:
                unit = unit_of(desk.reasoner.knowledge.device, f"{name} as {LEFT}")
                text = f"As left, {name}{f' [{unit}]' if unit else ''}?"
                return Prompt("text", f"{_OWN}left:{name}", text, default=_NOT_NOTED)
    return None


def _tests(desk: Desk, job: JobState) -> list[tuple[str, str]]:
    """What can be done once more: what was complained of, and checks of this job."""
    checks = desk.reasoner.knowledge.checks
    done = [ask for ask, _ in reversed(job.reports) if ask in checks and checks[ask].at == "bench"]
    own = [(_NO_TEST, "None"), (COMPLAINT_TEST, "What the customer complained of, tried again")]
    return own + [(ident, checks[ident].name) for ident in done[:_TESTS]]


# what a reply says -----------------------------------------------------------------------------


def closing_reply(
    desk: Desk, events: Sequence[Event], prompt: Prompt, value: object, stamp: dict[str, Any]
) -> list[Event]:
    """One more answer, or with the last one the record.

    Parameters
    ----------
    value : key, state or text; several of them for what was found. Empty: what the prompt proposes.

    Raises
    ------
    InputError : not an answer. RefusedError : the closing was not begun.
    """
    so_far = fold(events).choices.ending
    if so_far is None:
        raise RefusedError("nothing is asked of the end.", next_step="Close the job.")
    word = _words(value) or prompt.default
    if prompt.id == f"{_OWN}unticked" and prompt.named(word).state == _GO_ON:
        begun = [n for n, event in enumerate(events) if isinstance(event, ClosingBegun)]
        return [Withdrawn(number=begun[-1], **stamp)]
    if prompt.id == f"{_OWN}called" and prompt.named(word).state == "not_called":
        return []
    said = _said(desk, prompt, word, so_far)
    noted = ClosingNoted(ending=said, **stamp)
    view = desk.reasoner.view(fold([*events, noted]))
    ending = so_far.with_more(said)
    if _next(desk, view, ending) is not None:
        return [noted]
    return close(desk.reasoner, events, ending, stamp)


def _words(value: object) -> str:
    several = isinstance(value, Sequence) and not isinstance(value, str)
    return ", ".join(map(str, value)) if several else str(value).strip()  # type: ignore[call-overload]


def _said(desk: Desk, prompt: Prompt, word: str, so_far: Ending) -> Ending:
    what = prompt.id.removeprefix(_OWN)
    if what == FOUND:
        return Ending(found=_causes(desk, prompt, word))
    if what == "more":
        more = _causes(desk, prompt, word)
        known = so_far.found or []
        return Ending(found=list(dict.fromkeys([*known, *more]))) if more else Ending(whole=True)
    if what == "words":
        if not word:
            raise InputError("nothing was said.", where=prompt.id, next_step="Say what it was.")
        return Ending(words=word)
    if what == "minutes":
        return Ending(minutes=number(word, prompt.id))
    if what == "parts":
        return Ending(parts=number(word, prompt.id))
    if what.startswith("left:"):
        name = what.removeprefix("left:")
        text, record = "", f"{name} as {LEFT}"
        if word != _NOT_NOTED:
            text, _ = take_line(desk.reasoner.knowledge.device, record, word)
        return Ending(left={**(so_far.left or {}), name: text})
    state = prompt.named(word).state
    if what == "ended":
        return Ending(ended="" if state == _OURS else state)  # type: ignore[arg-type]
    if what == "stage":
        return Ending(stage=state)
    if what == "unticked":
        return Ending(unticked=state)  # type: ignore[arg-type]
    if what == "called":
        return Ending(called=state == "called")
    if what == "test":
        return Ending(test="" if state == _NO_TEST else state)
    return Ending(passed=state == "passed")


def _causes(desk: Desk, prompt: Prompt, word: str) -> list[str]:
    """Causes by key, id, name or text, several of them with commas between."""
    try:
        states = [prompt.named(word).state]
    except InputError:
        keys = {answer.key: answer.state for answer in prompt.answers}
        parts = [part.strip() for part in word.split(",")]
        states = [keys.get(part, part) for part in parts]
        if len(parts) == 1 and parts[0].isdigit():
            raise
    if states == [_NO_MORE]:
        return []
    return list(read_found(",".join(states), desk.reasoner.knowledge))


def read_found(text: str, knowledge: Knowledge) -> tuple[str, ...]:
    """Causes from ids, names and special words, with commas between.

    Raises
    ------
    InputError : not one of them; names the nearest.
    """
    chosen = dict.fromkeys(_named(part.strip(), knowledge) for part in text.split(","))
    alone = [name for name in chosen if name in _SPECIAL and _SPECIAL[name] != [UNLISTED]]
    if alone and len(chosen) > 1:
        raise InputError(f"'{alone[0].replace('_', ' ')}' goes with nothing else.")
    return tuple(dict.fromkeys(ident for name in chosen for ident in _SPECIAL.get(name, [name])))


def _named(word: str, knowledge: Knowledge) -> str:
    ident = word.lower().replace(" ", "_")
    known = [*knowledge.causes, *_SPECIAL]
    if ident in known:
        return ident
    names = {card.name.lower(): card.id for card in knowledge.causes.values()}
    one = names.get(word.lower()) or names.get(meant(word.lower(), names) or "")
    if one:
        return one
    raise InputError(
        f"'{word[:40]}' is no cause.",
        where="found",
        next_step=nearest(ident, known, otherwise="Use none_of_these and words."),
    )
