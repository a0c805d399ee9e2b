"""``diagnose train page|csv|sign|erase``: what a trainer looks at, signs and erases."""

from __future__ import annotations

import argparse
from datetime import datetime
from pathlib import Path

from diagnose.cli.context import Context
from diagnose.cli.training_cases import scenarios_of
from diagnose.cli.training_session import ledger_of, write
from diagnose.errors import InputError, Problem


def page(arguments: argparse.Namespace, context: Context) -> int:
    """Write the trainer's page."""
    from diagnose.reports.trainer_page import trainer_page
    from diagnose.shop.rights import held, read
    from diagnose.training.scenario import number_of, skill_of
    from diagnose.training.schedule import next_scenario

    if not arguments.names:
        raise InputError("the file to write is missing.", next_step="See: diagnose train --help")
    people, now = ledger_of(context).everybody(), datetime.now().astimezone()
    scenarios = scenarios_of(context) if people else []
    upcoming = {}
    for person in people:
        played = [session.scenario for session in person.sessions]
        case = next_scenario(person.cards, played, scenarios, now, person.resting)
        skill = skill_of(context.knowledge, case.skill)
        upcoming[person.initials] = f"{skill} (case {number_of(case.id)})"
    problems: list[Problem] = []
    signed = held(read(context.home, context.knowledge.rights, problems))
    write(
        Path(arguments.names[0]),
        trainer_page(people, context.knowledge, upcoming, signed, f"{now:%Y-%m-%d}"),
    )
    return 0


def csv(arguments: argparse.Namespace, context: Context) -> int:
    """All sessions as a table."""
    from diagnose.training.ledger import table

    text = table(ledger_of(context).everybody())
    if arguments.names:
        write(Path(arguments.names[0]), text)
    else:
        print(text, end="")
    return 0


def sign(arguments: argparse.Namespace, context: Context) -> int:
    """Give or take a right at the real bench, in the trainer's name."""
    from diagnose.shop.rights import Signature
    from diagnose.shop.rights import sign as signed

    if len(arguments.names) != 2:
        raise InputError(
            "initials and right are needed.",
            next_step="For instance: diagnose train sign AB air_side --trainer XY",
        )
    who, right = arguments.names
    deed = "taken" if arguments.take else "given"
    signature = Signature(who, right, deed, arguments.trainer, context.clock())
    signed(context.home, signature, context.shop.roles, context.knowledge.rights)
    print(f"{who}: {right} {deed} by {arguments.trainer}, in {context.home / 'rights.csv'}.")
    if not context.shop.people:
        print(
            "The shop's file lists no people, so everybody may do everything still. "
            "List them under people: in shop.yaml to have rights count."
        )
    return 0


def erase(arguments: argparse.Namespace, context: Context) -> int:
    """Remove what is kept of somebody: training and signatures."""
    from diagnose.shop.rights import erase as erased

    if not arguments.names:
        raise InputError("whose training is missing.", next_step="See: diagnose train --help")
    initials = str(arguments.names[0])
    rights = erased(context.home, initials)
    try:
        ledger_of(context).erase(initials)
    except InputError:
        if not rights:
            raise
    print(f"Erased: {initials}{', signed rights as well' if rights else ''}.")
    return 0
