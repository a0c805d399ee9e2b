"""Closing a job: what was really found and done, and whether it is cured. One way for every door.

Rules
-----
- What is asked next follows from what was said so far; each answer is an event and can be taken
  back, and the last one closes the job.
- `close` writes the record, whether its values were asked for here or came with a command.
- Nobody looked, unless it is said what was found: statistics must not take it for a repair.
- A test that does not pass closes nothing: what was found is kept, and the job is open again.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from diagnose.belief.compiled import UNLISTED
from diagnose.conversation.guarding import Desk
from diagnose.conversation.prompts import FOUND, Prompt, keyed
from diagnose.errors import InputError, RefusedError
from diagnose.job.ending import Ended, Ending
from diagnose.job.events import Closed, ClosingBegun, ClosingNoted, Event, Filed, Judged, Withdrawn
from diagnose.job.facts import Facts
from diagnose.job.state import JobState, fold
from diagnose.knowledge.loader import Knowledge
from diagnose.nearest import meant, nearest
from diagnose.reasoning.judgement import Judgement, judge
from diagnose.reasoning.reasoner import Reasoner, View

__all__ = ["OUTSIDE", "close", "closing_prompt", "closing_reply", "is_closing", "read_found"]

#: what the ids of the questions begin with, the first one aside
_OWN = "closing:"

#: id of nobody having looked, and the state of nothing having been wrong
_NOT_LOOKED, _NO_FAULT = "not_looked", "no_fault"

#: words for what has no card of its own -> how it is stored
_SPECIAL: dict[str, list[str]] = {
    "none_of_these": [UNLISTED],
    UNLISTED: [UNLISTED],
    "nothing": [],
    _NO_FAULT: [],
    _NOT_LOOKED: [_NOT_LOOKED],
}

#: how a job ends without our repair, in words
OUTSIDE: dict[Ended, str] = {
    "not_wanted": "It was not wanted",
    "not_collected": "It was not collected",
    "replaced": "It was replaced",
    "referred": "It was referred to somebody else",
}

#: endings after which nothing was done to it
_UNTOUCHED = ("not_wanted", "not_collected")

_OURS, _NO_MORE, _NOT_NOTED = "ours", "nothing_else", "not noted"

#: the test of what the customer complained of, and the answer that none was repeated
_COMPLAINT, _NO_TEST = "complaint", "not_repeated"

#: causes that stand before the answers for what has no card, and checks that are offered as tests
_LIKELIEST, _TESTS = 5, 6

#: more than any job takes [minutes, currency]
_TOO_MUCH = 100_000


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
    if ending.found == [_NOT_LOOKED]:
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
        (_NOT_LOOKED, "Nobody looked"),
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
    if ending.minutes is None:
        return Prompt("text", f"{_OWN}minutes", "Minutes?", default=f"{called.minutes:.6g}")
    if ending.parts is None:
        text = f"Parts, {desk.reasoner.money.currency}?"
        return Prompt("text", f"{_OWN}parts", text, default=f"{called.parts:.0f}")
    if ending.test is None:
        answers = tuple(keyed(_tests(desk, view.job)))
        text = "Which test was repeated?"
        return Prompt("question", f"{_OWN}test", text, answers=answers, default=_NO_TEST)
    if ending.test and ending.passed is None:
        rows = keyed([("passed", "It passed"), ("failed", "It did not pass")])
        return Prompt("question", f"{_OWN}passed", "Did it pass?", answers=tuple(rows))
    if ending.passed is not False:
        for name in desk.reasoner.knowledge.pack.as_left:
            if name not in (ending.left or {}):
                text = f"As left, {name}?"
                return Prompt("text", f"{_OWN}left:{name}", text, default=_NOT_NOTED)
    return None


def _tests(desk: Desk, job: JobState) -> list[tuple[str, str]]:
    """What can be done once more: what was complained of, and checks of this job."""
    checks = desk.reasoner.knowledge.checks
    done = [ask for ask, _ in reversed(job.reports) if ask in checks and checks[ask].at == "bench"]
    own = [(_NO_TEST, "None"), (_COMPLAINT, "What the customer complained of, tried again")]
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
    said = _said(desk, prompt, _words(value) or prompt.default, so_far)
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
        return Ending(minutes=_number(word, prompt.id))
    if what == "parts":
        return Ending(parts=_number(word, prompt.id))
    if what.startswith("left:"):
        name = what.removeprefix("left:")
        return Ending(left={**(so_far.left or {}), name: "" if word == _NOT_NOTED else word})
    state = prompt.named(word).state
    if what == "ended":
        return Ending(ended="" if state == _OURS else state)  # type: ignore[arg-type]
    if what == "stage":
        return Ending(stage=state)
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


def _number(word: str, where: str) -> float:
    try:
        value = float(word.replace(",", "."))
    except ValueError:
        raise InputError(f"'{word[:20]}' is no number.", where=where) from None
    if not 0 <= value < _TOO_MUCH:
        raise InputError(f"{word[:20]} is not believable.", where=where)
    return value


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


# the record ------------------------------------------------------------------------------------


def close(
    reasoner: Reasoner, events: Sequence[Event], ending: Ending, stamp: Mapping[str, Any]
) -> list[Event]:
    """The record of an end: the last call, what was used, the closing; open again if the repeated
    test did not pass.

    Raises
    ------
    InputError : what cannot be true together, or is not known. RefusedError : closed already.
    """
    job = fold(events)
    if job.closed is not None:
        raise RefusedError("the job is closed already.", next_step="A comeback is a new job.")
    judgement = judge(reasoner, reasoner.view(job))
    closed = _closed(reasoner.knowledge, judgement, ending, stamp)
    new: list[Event] = []
    shown = judgement.kept()
    if job.last_judged != shown:
        new.append(Judged(judgement=shown, **stamp))
    failed = closed.cured is False
    facts = Facts(
        parts_cost=ending.parts,
        as_left={name: text for name, text in (ending.left or {}).items() if text} or None,
        not_cured=(job.facts.not_cured or 0) + 1 if failed else None,
    )
    if facts.known():
        new.append(Filed(facts=facts, **stamp))
    new.append(closed)
    if failed:
        begun = [n for n, event in enumerate(events) if isinstance(event, ClosingBegun)]
        gone = [*(begun[-1:] if job.choices.ending is not None else []), job.count + len(new) - 1]
        new += [Withdrawn(number=number, **stamp) for number in gone]
    return new


def _closed(
    knowledge: Knowledge, judgement: Judgement, ending: Ending, stamp: Mapping[str, Any]
) -> Closed:
    found = [_NOT_LOOKED] if ending.found is None else ending.found
    if UNLISTED in found and not ending.words:
        raise InputError("none of these needs words.", where="words")
    if ending.ended and ending.passed is False:
        raise InputError(
            "what did not pass its test is open again, not closed.",
            where="test",
            next_step="Leave the test out, or how it ended.",
        )
    outcomes = knowledge.device.stages
    usual = outcomes.nothing if ending.ended in _UNTOUCHED else outcomes.refer
    called = judgement.hold or judgement.stage
    sheet = ending.stage or (usual if ending.ended else called.sheet)
    if sheet not in knowledge.sheets:
        raise InputError(
            f"'{sheet[:40]}' is no stage and no small job.",
            where="stage",
            next_step=nearest(sheet, knowledge.sheets),
        )
    if ending.test and ending.test != _COMPLAINT and ending.test not in knowledge.checks:
        raise InputError(
            f"'{ending.test[:40]}' is no check.",
            where="test",
            next_step=nearest(ending.test, [_COMPLAINT, *knowledge.checks]),
        )
    for name in ("minutes", "parts"):
        value = getattr(ending, name)
        if value is not None:
            _number(str(value), name)
    return Closed(
        found=found,
        words=ending.words or "",
        stage=knowledge.stage_of(sheet),
        job=sheet if sheet in knowledge.small_jobs else "",
        minutes=ending.minutes,
        cured=ending.passed,
        test="" if ending.passed is None else ending.test or _COMPLAINT,
        ended=ending.ended or "",
        **stamp,
    )
