"""``diagnose train``: practise, write cases, and what a trainer looks at."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from diagnose.cli.context import Context
from diagnose.errors import InputError

if TYPE_CHECKING:
    from diagnose.training.exercise import Exercise
    from diagnose.training.ledger import Ledger, Person
    from diagnose.training.moment import Coach
    from diagnose.training.scenario import Scenario

    Commands = argparse._SubParsersAction[Any]

__all__ = ["add"]

_EXAMPLES = """\
examples:
  diagnose train --person AB                  what is due, else something new
  diagnose train --case gone_by_monday        this case
  diagnose train --seed 7                     a drawn one, the same for the same number
  diagnose train --contrast can_seal_worn,piston_seal_worn
  diagnose train --group                      one screen, everybody votes, nothing is kept
  diagnose train new draft.yaml               check a case and take it in
  diagnose train new 1124-07 --store jobs.sqlite3 > draft.yaml
  diagnose train page training.html           the trainer's page
  diagnose train sign AB air_side --trainer XY
  diagnose train erase AB
"""


def add(commands: Commands, common: Callable[[argparse.ArgumentParser], None]) -> None:
    """Add the command to the command line."""
    train = commands.add_parser(
        "train",
        help="practise on simulated shocks",
        epilog=_EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    common(train)
    train.add_argument(
        "action",
        nargs="?",
        default="start",
        choices=("start", "new", "list", "pairs", "page", "csv", "sign", "erase"),
        help="start (default): practise; the others are shown below",
    )
    train.add_argument("names", nargs="*", metavar="NAME", help="what the action needs")
    train.add_argument("--person", default="", metavar="AB", help="initials of who practises")
    train.add_argument("--case", metavar="ID", help="this case")
    train.add_argument("--seed", type=int, metavar="N", help="a drawn case, or another shock")
    train.add_argument("--skill", metavar="S/T", help="what to practise, as `list` shows it")
    train.add_argument("--contrast", metavar="A,B", help="two causes that look alike, one by one")
    train.add_argument("--group", action="store_true", help="one screen, votes, no names")
    train.add_argument("--json-lines", action="store_true", help="one JSON object a line")
    train.add_argument("--plain", action="store_true", help="line by line, for screen readers")
    train.add_argument("--html", metavar="FILE", help="the debrief as a page to print")
    train.add_argument("--trainer", default="", metavar="XY", help="initials of who signs")
    train.add_argument("--store", metavar="URL", help="job store: a file, or a database URL")
    train.set_defaults(run=_run)


def _run(arguments: argparse.Namespace, context: Context) -> int:
    actions: dict[str, Callable[[argparse.Namespace, Context], int]] = {
        "start": _start,
        "new": _new,
        "list": _list,
        "pairs": _pairs,
        "page": _page,
        "csv": _csv,
        "sign": _sign,
        "erase": _erase,
    }
    return actions[arguments.action](arguments, context)


# what is there -----------------------------------------------------------------------------------


def _ledger(context: Context) -> Ledger:
    from diagnose.training.ledger import Ledger

    return Ledger(context.home / "training" / "people")


def _own_cases(context: Context) -> Path:
    return context.home / "training" / "cases"


def _now() -> datetime:
    return datetime.now().astimezone()


def _scenarios(context: Context) -> list[Scenario]:
    """All written cases, the shop's own among them."""
    from diagnose.casebook.cases import load_cases
    from diagnose.knowledge.root import cases_root
    from diagnose.training.scenario import of_case

    folders = [cases_root(context.cases_option), _own_cases(context)]
    knowledge = context.knowledge
    return [of_case(case, knowledge) for root in folders for case in load_cases(root, knowledge)]


def _case(context: Context, ident: str, seed: int | None) -> Scenario:
    """One written case.

    Raises
    ------
    InputError : no such case; names the nearest.
    """
    import difflib

    from diagnose.casebook.cases import read_case
    from diagnose.errors import KnowledgeError, Problem
    from diagnose.knowledge.root import cases_root
    from diagnose.training.scenario import of_case

    folders = [cases_root(context.cases_option), _own_cases(context)]
    files = {path.stem: path for root in folders for path in sorted(root.glob("*.yaml"))}
    if ident not in files:
        near = difflib.get_close_matches(ident, files, n=3, cutoff=0.4)
        raise InputError(
            f"there is no case '{ident}'.",
            next_step=f"Nearest: {', '.join(near)}." if near else "See: diagnose train list",
        )
    problems: list[Problem] = []
    case = read_case(files[ident], context.knowledge, problems)
    if problems or case is None:
        raise KnowledgeError(problems)
    return of_case(case, context.knowledge, seed)


# practising --------------------------------------------------------------------------------------


def _start(arguments: argparse.Namespace, context: Context) -> int:
    from diagnose.training.exercise import Exercise
    from diagnose.training.ledger import GUEST, Person
    from diagnose.training.moment import Coach

    ledger = _ledger(context)
    person = Person(initials=GUEST) if arguments.group else ledger.load(arguments.person or GUEST)
    coach = Coach(context.knowledge)
    for done, scenario in enumerate(_chosen(arguments, context, coach, person)):
        moves = []
        if person.open is not None and person.open.scenario == scenario:
            moves = person.open.moves
            if moves and not arguments.json_lines:
                print("This session was broken off; it goes on where it was.")
        exercise = Exercise(coach, scenario, moves)
        if not _hold(arguments, exercise, ledger, person):
            if not arguments.group and not arguments.json_lines:
                print("Kept. Go on with the same command.")
            return 0
        _debrief(arguments, exercise, ledger, person, done)
    return 0


def _chosen(
    arguments: argparse.Namespace, context: Context, coach: Coach, person: Person
) -> list[Scenario]:
    """The scenarios to play, one after the other."""
    from diagnose.training.generate import contrast, contrasts, generate
    from diagnose.training.schedule import next_scenario

    if arguments.contrast:
        pair = tuple(sorted(part.strip() for part in arguments.contrast.split(",")))
        if pair not in contrasts(coach.compiled):
            raise InputError(
                f"'{arguments.contrast}' are no look-alikes.", next_step="See: diagnose train pairs"
            )
        seed = arguments.seed or 0
        twins = contrast(coach.compiled, pair, seed)
        return list(twins if seed % 2 == 0 else reversed(twins))
    if arguments.case:
        return [_case(context, arguments.case, arguments.seed)]
    if arguments.seed is not None:
        return [generate(coach.compiled, arguments.seed)]
    if person.open is not None and not arguments.skill:
        return [person.open.scenario]
    played = [session.scenario for session in person.sessions]
    scenarios = [s for s in _scenarios(context) if arguments.skill in (None, s.skill)]
    if not scenarios:
        raise InputError(
            f"there is no case for '{arguments.skill}'.", next_step="See: diagnose train list"
        )
    chosen = next_scenario(person.cards, played, scenarios, _now())
    # What is not written in it turns out another way each time, or it would be learned by heart.
    return [chosen.model_copy(update={"seed": chosen.seed + played.count(chosen.id)})]


def _hold(
    arguments: argparse.Namespace, exercise: Exercise, ledger: Ledger, person: Person
) -> bool:
    from diagnose.cli.training_doors import by_lines, by_screen
    from diagnose.training.ledger import Open

    def save(now: Exercise) -> None:
        if not arguments.group:
            person.open = Open(scenario=now.scenario, moves=now.moves)
            ledger.save(person)

    if arguments.json_lines:
        return by_lines(exercise, sys.stdin, sys.stdout, save)
    from diagnose.terminal.door import Interrupted, Settings
    from diagnose.terminal.opening import open_door
    from diagnose.terminal.signals import Signals

    settings = Settings(plain=arguments.plain, colour="NO_COLOR" not in os.environ)
    with Signals() as signals:
        try:
            door = open_door(settings, signals)
            return by_screen(exercise, door, save, group=arguments.group)
        except Interrupted as reason:
            raise SystemExit(reason.status) from None


def _debrief(
    arguments: argparse.Namespace, exercise: Exercise, ledger: Ledger, person: Person, done: int
) -> None:
    from diagnose.reports.debrief import debrief_page, debrief_text
    from diagnose.training.apprentices import best_path

    result, now = exercise.result, _now()
    if not arguments.group:
        person.finish(result, now)
        ledger.save(person)
    if arguments.json_lines and not arguments.html:
        return
    coach, scenario = exercise.coach, exercise.scenario
    best = best_path(coach, scenario)
    if not arguments.json_lines:
        import shutil

        width = min(shutil.get_terminal_size().columns, 100)
        print("\n" + debrief_text(coach, scenario, result, best, width, plain=arguments.plain))
    if arguments.html:
        path = Path(arguments.html)
        if done:
            path = path.with_stem(f"{path.stem}-{done + 1}")
        who = "" if arguments.group else arguments.person
        page = debrief_page(coach, scenario, result, best, who, f"{now:%Y-%m-%d}")
        _write(path, page)


def _write(path: Path, text: str) -> None:
    try:
        path.write_text(text, "utf-8", newline="")
    except OSError as fault:
        raise InputError(f"cannot be written: {fault.strerror}.", where=str(path)) from fault


# cases -------------------------------------------------------------------------------------------


def _one(arguments: argparse.Namespace, what: str) -> str:
    if not arguments.names:
        raise InputError(f"{what} is missing.", next_step="See: diagnose train --help")
    return str(arguments.names[0])


def _new(arguments: argparse.Namespace, context: Context) -> int:
    from diagnose.training.entry import case_of_job, enter
    from diagnose.training.moment import Coach

    name = _one(arguments, "the case file or the job")
    coach = Coach(context.knowledge)
    if Path(name).suffix in (".yaml", ".yml"):
        if not Path(name).exists():
            raise InputError("there is no such file.", where=name)
        print(f"Taken in: {enter(Path(name), _own_cases(context), coach)}")
        return 0
    from diagnose.records.places import open_store

    store = open_store(arguments.store or context.job_file)
    try:
        events = store.load(name)
    finally:
        store.close()
    ident = "job_" + "".join(sign if sign.isalnum() else "_" for sign in name.lower())
    print(case_of_job(ident, events, coach), end="")
    return 0


def _list(arguments: argparse.Namespace, context: Context) -> int:
    from diagnose.training.scenario import skill_of

    rows = sorted((scenario.skill, scenario.id) for scenario in _scenarios(context))
    for skill, ident in rows:
        print(f"{ident:<32} {skill:<30} {skill_of(context.knowledge, skill)}")
    return 0


def _pairs(arguments: argparse.Namespace, context: Context) -> int:
    from diagnose.belief.compiled import compile_pack
    from diagnose.training.generate import contrasts

    for first, second in contrasts(compile_pack(context.knowledge)):
        print(f"{first},{second}")
    return 0


# the trainer -------------------------------------------------------------------------------------


def _page(arguments: argparse.Namespace, context: Context) -> int:
    from diagnose.reports.trainer_page import trainer_page
    from diagnose.training.schedule import next_scenario

    people, now = _ledger(context).everybody(), _now()
    scenarios = _scenarios(context) if people else []
    upcoming = {
        person.initials: next_scenario(
            person.cards, [s.scenario for s in person.sessions], scenarios, now
        ).id
        for person in people
    }
    _write(
        Path(_one(arguments, "the file to write")),
        trainer_page(people, context.knowledge, upcoming, f"{now:%Y-%m-%d}"),
    )
    return 0


def _csv(arguments: argparse.Namespace, context: Context) -> int:
    from diagnose.training.ledger import table

    text = table(_ledger(context).everybody())
    if arguments.names:
        _write(Path(arguments.names[0]), text)
    else:
        print(text, end="")
    return 0


def _sign(arguments: argparse.Namespace, context: Context) -> int:
    if len(arguments.names) != 2:
        raise InputError(
            "initials and right are needed.",
            next_step="For instance: diagnose train sign AB air_side --trainer XY",
        )
    ledger = _ledger(context)
    person = ledger.load(arguments.names[0])
    person.sign(arguments.names[1], arguments.trainer, _now())
    ledger.save(person)
    print(f"Written in: {person.initials}, {arguments.names[1]}, by {arguments.trainer}.")
    return 0


def _erase(arguments: argparse.Namespace, context: Context) -> int:
    initials = _one(arguments, "whose training")
    _ledger(context).erase(initials)
    print(f"Erased: {initials}.")
    return 0
