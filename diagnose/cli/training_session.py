"""``diagnose train`` by itself: which case, holding it, telling how it went.

Rules
-----
- What was broken off is offered before anything new, whoever asks and with whatever it was begun.
- Nothing of a group is kept.
- The first words are on the screen before anything heavy is imported.
"""

from __future__ import annotations

import argparse
import os
import random
import shutil
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from diagnose.cli.context import Context
from diagnose.errors import InputError
from diagnose.started import runnable

if TYPE_CHECKING:
    from diagnose.conversation.prompts import Prompt
    from diagnose.lines.sitting import Lines
    from diagnose.reports.debrief import Run
    from diagnose.terminal.door import Door
    from diagnose.training.ledger import Ledger, Open, Person
    from diagnose.training.moment import Coach
    from diagnose.training.scenario import Scenario
    from diagnose.training.sitting import Sitting


#: broken-off sittings on offer at once
_OFFERED = 8

_READ_ON = "Enter: go on reading. q leave."

#: rows that the line below a page of the debrief needs
_FIELD = 4

#: letters of a complaint by which a sitting is known again
_SHORT = 60


def ledger_of(context: Context) -> Ledger:
    """What is kept of people who practise."""
    from diagnose.training.ledger import Ledger

    return Ledger(context.home / "training" / "people")


def write(path: Path, text: str) -> None:
    """Write a file that somebody asked for.

    Raises
    ------
    InputError : it cannot be written.
    """
    try:
        path.write_text(text, "utf-8", newline="")
    except OSError as fault:
        raise InputError(f"cannot be written: {fault.strerror}.", where=str(path)) from fault


def start(arguments: argparse.Namespace, context: Context) -> int:
    """Practise."""
    if arguments.json_lines:
        from diagnose.lines.sitting import Lines

        _Practice(arguments, context).by_lines(Lines(sys.stdin, sys.stdout))
        return 0
    from diagnose.terminal.door import Interrupted, Left, Settings
    from diagnose.terminal.opening import has_screen, open_door
    from diagnose.terminal.signals import Signals
    from diagnose.terminal.sitting import first_look, welcome

    settings = Settings(plain=arguments.plain, colour="NO_COLOR" not in os.environ)
    with Signals() as signals:
        try:
            door = open_door(settings, signals)
            welcome(door, context.knowledge)
            practice, paged = _Practice(arguments, context), has_screen(settings)
            if paged and practice.is_first:
                first_look(door, context.knowledge)
            practice.by_screen(door, paged=paged)
        except Left:
            return 0
        except Interrupted as reason:
            raise SystemExit(reason.status) from None
    return 0


class _Practice:
    """One run of the command."""

    def __init__(self, arguments: argparse.Namespace, context: Context) -> None:
        from diagnose.training.ledger import GUEST, Person
        from diagnose.training.moment import Coach

        self._arguments = arguments
        self._context = context
        self._ledger = ledger_of(context)
        initials = GUEST if arguments.group else arguments.person or GUEST
        self._person = Person(initials=GUEST) if arguments.group else self._ledger.load(initials)
        self.coach: Coach = Coach(
            context.knowledge,
            money=context.shop.economics(context.knowledge),
        )

    @property
    def is_first(self) -> bool:
        """Whoever sits here has never begun a case."""
        alone = not self._arguments.group
        return alone and not (self._person.sessions or self._person.open)

    # the two ways ------------------------------------------------------------------------------

    def by_lines(self, lines: Lines) -> None:
        from diagnose.lines.sitting import Ended, by_lines

        offers = self._offers()
        try:
            taken = lines.ask(offers.prompt(), offers.read) if offers.held else "new"
        except Ended:
            lines.write({"kind": "end", "text": "left", "reply": False})
            return
        sitting = self._sitting(taken)
        if by_lines(sitting, lines, self._save):
            self._finish(sitting)
            if self._arguments.html:
                self._page(sitting)

    def by_screen(self, door: Door, *, paged: bool) -> None:
        from diagnose.terminal.parts import note
        from diagnose.terminal.sitting import ask_screen, by_screen

        group = None
        if self._arguments.group:
            from diagnose.training.group import Group

            group = Group(time.monotonic, lambda words: door.say(note("quiet", words)))
        offers = self._offers()
        taken = ask_screen(offers.prompt(), door, offers.read) if offers.held else "new"
        sitting = self._sitting(taken)
        if by_screen(sitting, door, self._save, group):
            self._finish(sitting)
            self._tell(sitting, door, paged=paged)
        elif group is None:
            door.say(note("note", runnable(f"Kept. Go on with: diagnose train{self._own_option}")))

    # what is played ----------------------------------------------------------------------------

    def _offers(self) -> _Offers:
        """What was broken off, the latest first: one's own, or everybody's if nobody is named."""
        a = self._arguments
        if a.group or a.case or a.skill or a.contrast is not None or a.seed is not None:
            return _Offers((), own=True)
        people = [self._person] if a.person else self._ledger.everybody()
        held = [(person, open_) for person in people for open_ in person.open]
        held.sort(key=lambda pair: pair[1].time, reverse=True)
        own = {person.initials for person, _ in held} <= {self._person.initials}
        return _Offers(held[:_OFFERED], own)

    def _sitting(self, taken: tuple[Person, Open] | Literal["new", "drop"]) -> Sitting:
        from diagnose.training.sitting import Sitting

        if taken == "drop":
            self._person.open = []
        elif taken != "new":
            self._person, held = taken
            return Sitting(self.coach, held.scenarios, held.moves)
        scenarios = self._chosen()
        begun = self._person.left_at(scenarios)
        return Sitting(self.coach, scenarios, begun.moves if begun is not None else ())

    def _chosen(self) -> Sequence[Scenario]:
        """The scenarios to play, one after the other."""
        from diagnose.cli.training_cases import case_of, scenarios_of
        from diagnose.training.generate import generate
        from diagnose.training.schedule import next_scenario

        a, person = self._arguments, self._person
        if a.contrast is not None:
            return self._pair()
        if a.case:
            return [case_of(self._context, a.case, a.seed)]
        if a.seed is not None:
            return [generate(self.coach.compiled, a.seed)]
        scenarios = [s for s in scenarios_of(self._context) if a.skill in (None, s.skill)]
        if not scenarios:
            raise InputError(f"there is no case for '{a.skill}'.", next_step="See: train list")
        if a.group:
            return [scenarios[int(time.time() // 60) % len(scenarios)]]
        begun = [s.id for held in person.open for s in held.scenarios]
        played = [session.scenario for session in person.sessions] + begun
        chosen = next_scenario(person.cards, played, scenarios, _now(), person.resting)
        # What is not written in it turns out another way each time, or it would be learned by
        # heart.
        return [chosen.model_copy(update={"seed": chosen.seed + played.count(chosen.id)})]

    def _pair(self) -> Sequence[Scenario]:
        """Two that look alike; which comes first follows from the seed."""
        from diagnose.training.generate import contrast, contrasts

        pairs = contrasts(self.coach.compiled)
        seed = self._arguments.seed
        if seed is None:
            seed = int(time.time() // 60) if self._arguments.group else len(self._person.sessions)
        rng = random.Random(seed)
        names = [part.strip() for part in self._arguments.contrast.split(",") if part.strip()]
        pair = (min(names), max(names)) if len(names) == 2 else rng.choice(pairs)
        if (names and len(names) != 2) or pair not in pairs:
            raise InputError(
                f"'{self._arguments.contrast[:60]}' are no look-alikes.",
                next_step="See: diagnose train pairs",
            )
        twins = list(contrast(self.coach.compiled, pair, seed))
        rng.shuffle(twins)
        return twins

    # what is kept ------------------------------------------------------------------------------

    @property
    def _own_option(self) -> str:
        from diagnose.training.ledger import GUEST

        initials = self._person.initials
        return "" if initials == GUEST else f" --person {initials}"

    def _save(self, sitting: Sitting) -> None:
        from diagnose.training.ledger import Open

        if not self._arguments.group:
            held = Open(
                scenarios=list(sitting.scenarios),
                moves=sitting.moves,
                time=_now().isoformat(timespec="seconds"),
            )
            self._person.put_aside(held)
            self._ledger.save(self._person)

    def _finish(self, sitting: Sitting) -> None:
        if not self._arguments.group:
            for exercise in sitting.played:
                self._person.finish(exercise.result, _now())
            self._person.drop(sitting.scenarios)
            self._ledger.save(self._person)

    # what is told ------------------------------------------------------------------------------

    def _tell(self, sitting: Sitting, door: Door, *, paged: bool) -> None:
        from diagnose.reports.debrief import debrief_sections
        from diagnose.terminal.door import Block, Left, Screen
        from diagnose.terminal.parts import note

        size = shutil.get_terminal_size()
        columns, plain = min(size.columns, 100), self._arguments.plain
        sections = debrief_sections(self.coach, _runs(sitting), columns, plain=plain)
        pages = _pages(sections, size.lines - _FIELD if paged else sys.maxsize)
        try:
            for number, page in enumerate(pages):
                if number and paged and door.line(Screen(note("keys", _READ_ON))) == "q":
                    break
                lines = tuple((("", line),) for line in page)
                door.say(lambda width, lines=lines: [Block(lines)])  # type: ignore[misc]
        except Left:
            pass
        if self._arguments.html:
            self._page(sitting)
            door.say(note("note", f"Written: {self._arguments.html}"))

    def _page(self, sitting: Sitting) -> None:
        from diagnose.reports.debrief import debrief_page

        who = "" if self._arguments.group else self._arguments.person
        page = debrief_page(self.coach, _runs(sitting), who, f"{_now():%Y-%m-%d}")
        write(Path(self._arguments.html), page)


def _runs(sitting: Sitting) -> list[Run]:
    from diagnose.reports.debrief import Run
    from diagnose.training.apprentices import best_path

    return [
        Run(exercise.scenario, exercise.result, best_path(sitting.coach, exercise.scenario))
        for exercise in sitting.played
    ]


def _pages(sections: Sequence[str], rows: int) -> list[list[str]]:
    """Each section on pages of its own, none longer than the screen.

    >>> _pages(["a\\nb\\nc", "d"], 3)
    [['', 'a', 'b'], ['c'], ['', 'd']]
    """
    high = max(rows, 3)
    pages = []
    for section in sections:
        lines = ["", *section.splitlines()]
        pages += [lines[start : start + high] for start in range(0, len(lines), high)]
    return pages


def _now() -> datetime:
    return datetime.now().astimezone()


# what was broken off -----------------------------------------------------------------------------


@dataclass(frozen=True)
class _Offers:
    """What can be gone on with. ``own``: all of it is of whoever asks, and may be dropped."""

    held: Sequence[tuple[Person, Open]]
    own: bool

    def prompt(self) -> Prompt:
        from diagnose.conversation.prompts import Prompt
        from diagnose.reasoning.judgement import AnswerLine

        lines = [
            AnswerLine(key=str(number), state=f"broken_off_{number}", text=_words(person, open_))
            for number, (person, open_) in enumerate(self.held, 1)
        ]
        lines.append(AnswerLine(key="9", state="new", text="Begin something new"))
        if self.own:
            lines.append(AnswerLine(key="-", state="drop", text="Drop this, begin something new"))
        text = "This was broken off. Go on with it?"
        return Prompt("question", "resume", text, answers=tuple(lines))

    def read(self, word: object) -> tuple[Person, Open] | Literal["new", "drop"]:
        typed = str(word).strip()
        answers = self.prompt().answers
        for answer, held in zip(answers, self.held, strict=False):
            if typed in (answer.key, answer.state, answer.text):
                return held
        for answer in answers[len(self.held) :]:
            if typed in (answer.key, answer.state, answer.text):
                return "new" if answer.state == "new" else "drop"
        keys = " ".join(answer.key for answer in answers)
        raise InputError(f"'{typed[:40]}' is no answer here.", next_step=f"Choose one of: {keys}.")


def _words(person: Person, held: Open) -> str:
    from diagnose.training.ledger import GUEST

    who = "" if person.initials == GUEST else f"{person.initials}: "
    complaint = held.scenarios[0].complaint
    short = complaint if len(complaint) <= _SHORT else f"{complaint[: _SHORT - 3]}..."
    return f"{who}“{short}”, {held.time[:10]}"
