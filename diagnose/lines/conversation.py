"""The conversation over JSON lines: one object out, one object in.

Rules
-----
- Out: ``question`` (id, text, answers [{key, state, text}], readings wanted, cautions first),
  ``caution``, ``heard``, ``judgement``, ``error``, ``end``. Exactly one object with
  ``"reply": true`` is out when a reply is awaited.
- ``heard`` carries every reading of the complaint (id, state, probability, words, start, end, text,
  denied, standing: counts, asked, struck, answered or unsure) and ``not_heard``: what could not be
  placed. It comes again whenever it has changed. ``{"heard": {id: "struck" | "meant" | state}}``
  corrects it, several at once, wherever the command ``words`` is offered; an id that was not heard
  is added with its state.
- ``several``: the answers may all be so, ``{"answer": [...]}`` takes several of them. So has
  ``first_sight``, which asks what the shock has: what is not named is not there. So has
  ``understood``, asked only where readings in doubt would change the call: the answers are these
  readings and ``none``; what was not taken is struck out.
- In: ``{"answer": key or state or text}``, ``{"text": ...}``, ``{"readings": {...}}`` or
  ``{"command": ...}``; a bare JSON string or number counts as an answer.
- A reading is a text with its unit, or a bare number in the ``unit`` of the reading wanted;
  ``usual`` says what is believable of it, ``proposed`` what is known of it already.
- A step of a sheet (``step:SHEET:NUMBER``) may want lines written down: ``readings`` that are all
  optional. ``{"readings": {...}}`` keeps them and the step is put again; ``done`` ticks it.
- An error leaves the job as it was and the question is put again.
- Where others wrote to the job meanwhile, a ``note`` says so, the reply does not count, and what is
  to be asked now is asked.
- ``{"command": "list"}`` gives the checks worth doing together as one object ``list`` with its
  ``number``; ``{"results": {check: state or readings}, "list": number}`` answers them at once, all
  or none. Without a number it is the list as of now.
- A check that reads twice, hours apart, offers the answer ``read_later``. What follows asks for the
  first readings and ``wait`` (how long to sleep, such as "8 h"); the job then sleeps and says so in
  a question with ``leave`` among its answers. Taken up again when it is due, it asks for the second
  readings alone; the time between them may be left out where the clock tells it.
- Before a stage that the customer has not agreed to, the question is ``approval:STAGE`` with the
  answers ``agreed``, ``declined`` and ``ask_later`` (or ``leave``, once it waits); after a refusal
  the text ``told`` asks what the customer was told, and may be skipped.
- Where a step of a sheet opened something, ``inside:SHEET:NUMBER`` asks whether it is what its
  ``steps`` say that was expected: ``yes``, ``no`` or ``not_sure``. After ``no`` the questions go
  on, then ``decide`` offers ``sheet`` to go on.
- The end of a job is a row of questions: ``found``, then ``closing:`` more, words, ended, stage,
  unticked, minutes, parts, called, test, passed, left. An empty answer takes the ``default`` of its
  question. What was found may be several: ``{"answer": ["one", "other"]}``, by state, key or text.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from typing import IO, Any

from diagnose.conversation.batch import read_named
from diagnose.conversation.conversation import Conversation
from diagnose.conversation.prompts import COMMANDS, Prompt
from diagnose.errors import DiagnoseError, InputError, StoreError
from diagnose.job.events import NOT_SURE, Event

__all__ = ["converse", "prompt_objects"]

_VALUE_KEYS = ("answer", "state", "key", "text", "value", "complaint", "reply")


def prompt_objects(prompt: Prompt, said: set[str]) -> list[dict[str, Any]]:
    """The objects of one prompt; cautions and understood words are not repeated."""
    out: list[dict[str, Any]] = []
    for caution in prompt.first_words:
        if f"first:{caution.id}" not in said:
            said.add(f"first:{caution.id}")
            out.append({"kind": "caution", "when": "first", **caution.model_dump()})
    heard = {
        "kind": "heard",
        "heard": [line.model_dump() for line in prompt.heard],
        "not_heard": [line.model_dump() for line in prompt.not_heard],
    }
    mark = "heard:" + json.dumps(heard)
    if (prompt.heard or prompt.not_heard) and mark not in said:
        # The latest alone: what was struck out and brought back is told again.
        said -= {old for old in said if old.startswith("heard:")}
        said.add(mark)
        out.append(heard)
    for caution in prompt.cautions:
        out.append({"kind": "caution", "when": "before", **caution.model_dump()})
    answers = [a.model_dump() for a in prompt.answers]
    if "not_sure" in prompt.commands:
        answers.append({"key": "0", "state": NOT_SURE, "text": "Not sure", "means": ""})
    body: dict[str, Any] = {
        "kind": "question" if prompt.kind != "done" else "end",
        "asks": prompt.kind,
        "id": prompt.id,
        "text": prompt.text,
        "answers": answers,
        "readings": [r.model_dump() for r in prompt.readings],
        "steps": list(prompt.steps),
        "why": prompt.why,
        "commands": {name: COMMANDS[name] for name in prompt.commands},
        "free_text": prompt.kind == "text",
        "default": prompt.default,
        "several": prompt.several,
        "reply": prompt.kind != "done",
    }
    if prompt.judgement is not None:
        out.append({"kind": "judgement", "judgement": prompt.judgement.model_dump(mode="json")})
    out.append(body)
    return out


def read_reply(line: str) -> tuple[str, Any]:
    """('command', name), ('results', object), ('heard', wishes) or ('value', value) of one line.

    Raises
    ------
    InputError : not JSON, or none of the accepted forms.
    """
    try:
        data = json.loads(line)
    except ValueError:
        raise InputError(
            "this line is not JSON.", next_step='Send {"answer": "1"}, one object a line.'
        ) from None
    if isinstance(data, (str, int, float)):
        return "value", data
    if isinstance(data, dict):
        if isinstance(data.get("command"), str):
            return "command", data["command"]
        if isinstance(data.get("results"), dict):
            return "results", data
        if isinstance(data.get("heard"), dict):
            return "heard", {str(ask): str(wish) for ask, wish in data["heard"].items()}
        if isinstance(data.get("readings"), dict):
            return "value", data["readings"]
        for key in _VALUE_KEYS:
            if key in data:
                return "value", data[key]
    raise InputError(
        "no answer was found in this object.",
        next_step='Send {"answer": ...}, {"text": ...}, {"readings": {...}} or {"command": ...}.',
    )


def list_object(prompts: Sequence[Prompt], number: int) -> dict[str, Any]:
    """A check list as one object."""
    checks = [
        {
            "id": prompt.id,
            "name": prompt.why,
            "text": prompt.text,
            "answers": [answer.model_dump() for answer in prompt.answers],
            "readings": [reading.model_dump() for reading in prompt.readings],
            "steps": list(prompt.steps),
            "cautions": [caution.model_dump() for caution in prompt.cautions],
        }
        for prompt in prompts
    ]
    return {"kind": "list", "number": number, "checks": checks, "reply": True}


def _listed(data: dict[str, Any], newest: int) -> int:
    """Number of the list that results belong to."""
    number = data.get("list", newest)
    if not isinstance(number, int) or not 0 < number <= newest:
        raise InputError(f"there is no list {number!r} of this job.", next_step="Ask for one.")
    return number


def converse(
    conversation: Conversation,
    events: list[Event],
    save: Callable[[Sequence[Event]], None],
    clock: Callable[[], str],
    person: str,
    lines_in: IO[str],
    lines_out: IO[str],
    job: Callable[[], str],
) -> list[Event]:
    """Hold the conversation until it ends, the other side leaves or its lines run out."""
    said: set[str] = set()
    kept = "saved"

    def keep(new: Sequence[Event]) -> Sequence[Event]:
        """The events that the job has grown by: these, or what others wrote instead."""
        nonlocal kept
        try:
            save(new)
            kept = "saved"
        except StoreError as error:
            if error.meanwhile:
                write({"kind": "note", "text": str(error), "reply": False})
                return error.meanwhile
            # Nothing answered is lost: it goes on in memory, and the other side is told.
            kept = "not saved"
            write({"kind": "note", "text": f"not saved: {error}", "reply": False})
        return new

    def write(data: dict[str, Any]) -> None:
        lines_out.write(json.dumps(data, ensure_ascii=False) + "\n")
        lines_out.flush()

    last_key = ""
    while True:
        prompt = conversation.prompt(events, person, last_key)
        for data in prompt_objects(prompt, said):
            write(data)
        if prompt.kind == "done":
            return events
        while True:
            line = lines_in.readline()
            if not line:
                write({"kind": "end", "text": "no more input", "job": job(), "reply": False})
                return events
            if not line.strip():
                continue
            try:
                form, value = read_reply(line)
                if form == "command" and value == "list":
                    write(list_object(conversation.check_list(events, person), len(events)))
                    continue
                if form == "results":
                    made = events[: _listed(value, len(events))]
                    typed = read_named(value["results"], conversation.check_list(made, person))
                    new = conversation.results(events, typed, time=clock(), person=person)
                elif form == "heard":
                    new = conversation.correct(events, prompt, value, time=clock(), person=person)
                elif form == "command":
                    new = conversation.command(events, prompt, value, time=clock(), person=person)
                else:
                    new = conversation.reply(events, prompt, value, time=clock(), person=person)
            except DiagnoseError as error:
                write(
                    {
                        "kind": "error",
                        "what": error.what,
                        "where": error.where,
                        "next": error.next_step,
                        "reply": True,
                    }
                )
                continue
            left = (form == "command" and value == "leave") or (form == "value" and not new)
            if left:
                write({"kind": "end", "text": kept, "job": job(), "reply": False})
                return events
            if new:
                events.extend(keep(new))
                last_key = str(value) if form == "value" else ""
                break
            write({"kind": "note", "text": prompt.why or "nothing to add", "reply": True})
