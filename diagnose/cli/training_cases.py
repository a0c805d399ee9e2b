"""``diagnose train new|write|list|pairs``: the cases there are, and the shop's own ones."""

from __future__ import annotations

import argparse
from collections import Counter
from pathlib import Path
from textwrap import shorten
from typing import TYPE_CHECKING

from diagnose.cli.context import Context
from diagnose.errors import InputError, KnowledgeError, Problem
from diagnose.nearest import nearest
from diagnose.started import runnable

if TYPE_CHECKING:
    from collections.abc import Sequence

    from diagnose.job.events import Event
    from diagnose.terminal.door import Door
    from diagnose.training.moment import Coach
    from diagnose.training.scenario import Scenario
    from diagnose.training.writing import Draft


#: letters of a complaint in the list
_SHORT = 72


def own_cases(context: Context) -> Path:
    """Folder of the shop's own cases."""
    return context.home / "training" / "cases"


def _folders(context: Context) -> list[Path]:
    from diagnose.knowledge.root import cases_root

    return [cases_root(context.cases_option), own_cases(context)]


def scenarios_of(context: Context) -> list[Scenario]:
    """All written cases that come by themselves, the shop's own among them."""
    from diagnose.casebook.cases import load_cases
    from diagnose.training.scenario import of_case

    knowledge = context.knowledge
    folders = _folders(context)
    cases = [case for root in folders for case in load_cases(root, knowledge)]
    return [of_case(case, knowledge) for case in cases if case.offered]


def case_of(context: Context, ident: str, seed: int | None) -> Scenario:
    """One written case.

    Raises
    ------
    InputError : no such case; names the nearest.
    """
    from diagnose.casebook.cases import read_case
    from diagnose.training.scenario import number_of, of_case

    files = {path.stem: path for root in _folders(context) for path in sorted(root.glob("*.yaml"))}
    numbered = [stem for stem in files if number_of(stem) == ident]
    if len(numbered) > 1:
        raise InputError(
            f"two cases have the number {ident}.", next_step=f"Name one: {', '.join(numbered)}."
        )
    ident = next(iter(numbered), ident)
    if ident not in files:
        raise InputError(
            f"there is no case '{ident}'.",
            next_step=nearest(ident, files, otherwise="See: diagnose train list"),
        )
    problems: list[Problem] = []
    case = read_case(files[ident], context.knowledge, problems)
    if problems or case is None:
        raise KnowledgeError(problems)
    return of_case(case, context.knowledge, seed)


def new(arguments: argparse.Namespace, context: Context) -> int:
    """Take a case file in, or print a closed job as one."""
    from diagnose.training.entry import case_of_job, enter
    from diagnose.training.moment import Coach

    if not arguments.names:
        raise InputError(
            "the case file or the job is missing.", next_step="See: diagnose train --help"
        )
    name = str(arguments.names[0])
    if Path(name).suffix in (".yaml", ".yml"):
        if not Path(name).exists():
            raise InputError("there is no such file.", where=name)
        coach = Coach(context.knowledge)
        print(f"Taken in: {enter(Path(name), own_cases(context), coach)}")
        return 0
    from diagnose.records.places import open_store

    store = open_store(arguments.store or context.job_file)
    try:
        events = store.load(name)
    finally:
        store.close()
    knowledge = context.of_job(name).knowledge
    coach = Coach(knowledge)
    ident = "job_" + "".join(sign if sign.isalnum() else "_" for sign in name.lower())
    print(case_of_job(ident, events, coach), end="")
    return 0


def list_cases(arguments: argparse.Namespace, context: Context) -> int:
    """Every case by number and complaint, then the skills; neither says what a case is."""
    from diagnose.training.scenario import number_of, skill_of

    scenarios = scenarios_of(context)
    for number, complaint in sorted((number_of(s.id), s.complaint) for s in scenarios):
        print(f"{number}  {shorten(complaint, _SHORT, placeholder='...')}")
    print("\nSkills, for --skill:")
    for skill, count in sorted(Counter(s.skill for s in scenarios).items()):
        print(f"{skill:<26} {count:>3}  {skill_of(context.knowledge, skill)}")
    return 0


def pairs(arguments: argparse.Namespace, context: Context) -> int:
    """Every pair of causes that look alike."""
    from diagnose.belief.compiled import compile_pack
    from diagnose.training.generate import contrasts

    for first, second in contrasts(compile_pack(context.knowledge)):
        print(f"{first},{second}")
    return 0


def write_case(arguments: argparse.Namespace, context: Context) -> int:
    """Write a case from a closed job: asks for what is missing, checks it by playing it."""
    import os

    from diagnose.records.places import open_store
    from diagnose.terminal.door import Interrupted, Left, Settings
    from diagnose.terminal.opening import open_door
    from diagnose.terminal.signals import Signals
    from diagnose.training.entry import case_of_job
    from diagnose.training.moment import Coach
    from diagnose.training.writing import resume

    if not arguments.names:
        raise InputError("the job is missing.", next_step="Name it: diagnose train write 1124-07")
    job = str(arguments.names[0])
    with open_store(arguments.store or context.job_file) as store:
        events = store.load(job)
    coach = Coach(context.of_job(job).knowledge)
    case_of_job(job, events, coach)  # an open job is refused before anything is asked
    draft = resume(context.home, job)
    settings = Settings(plain=arguments.plain, colour="NO_COLOR" not in os.environ)
    with Signals() as signals:
        try:
            _ask_for_missing(open_door(settings, signals), draft, events, coach, context)
        except Left:
            print(runnable(f"Kept. Go on with: diagnose train write {job}"))
        except Interrupted as reason:
            raise SystemExit(reason.status) from None
    return 0


def _ask_for_missing(
    door: Door, draft: Draft, events: Sequence[Event], coach: Coach, context: Context
) -> None:
    from diagnose.terminal.parts import note
    from diagnose.terminal.sitting import ask_screen_line
    from diagnose.training.scenario import number_of
    from diagnose.training.writing import QUESTIONS, answered, finish, keep, proposed

    for part in draft.missing:

        def read(typed: str, part: str = part, draft: Draft = draft) -> Draft:
            return answered(draft, part, typed, events)

        taken = proposed(draft, part, events)
        draft = ask_screen_line(door, QUESTIONS[part], taken, read)
        keep(context.home, draft)
    scenario, steps = finish(draft, events, coach, context.home, own_cases(context))
    number = number_of(scenario.id)
    words = f"Case {number} is taken in. Played: the best path finds it in {steps} steps."
    door.say(note("note", runnable(f"{words} Play it: diagnose train --case {number}")))
