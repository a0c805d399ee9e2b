"""``diagnose counter`` and ``diagnose bench``: a job held in a store, talked about through a door."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path

from diagnose.cli.context import Context
from diagnose.session.events import Event, HandedOver, Opened, Resumed

__all__ = ["talking"]


def talking(arguments: argparse.Namespace, context: Context) -> int:
    """Run the command."""
    from diagnose.session.conversation import Conversation

    at = "bench" if arguments.command == "bench" else "counter"
    events = _begin(arguments, context, at)
    conversation = Conversation(context.reasoner)

    def save(new: Sequence[Event]) -> None:
        return None

    if arguments.json_lines or not sys.stdin.isatty():
        from diagnose.cli.json_lines import converse

        converse(
            conversation, events, save, context.clock, arguments.person, sys.stdin, sys.stdout
        )
    return 0


def _begin(arguments: argparse.Namespace, context: Context, at: str) -> list[Event]:
    knowledge = context.knowledge
    stamp = {"time": context.clock(), "person": arguments.person}
    if arguments.job and Path(arguments.job).suffix in (".yaml", ".json"):
        from diagnose.cli.assess import read_job
        from diagnose.session.job_input import events_of

        events, _ = events_of(read_job(arguments.job), knowledge, stamp["time"])
        if at == "bench":
            events.append(HandedOver(to=arguments.person, at="bench", **stamp))
        return events
    return [
        Opened(
            pack=knowledge.pack.id,
            knowledge=knowledge.fingerprint,
            at=at,
            channel=getattr(arguments, "channel", "bike_here"),
            **stamp,
        )
    ]
