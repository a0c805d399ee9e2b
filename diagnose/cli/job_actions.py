"""Options of the actions on one job: the customer's word, kit, handing on, closing."""

from __future__ import annotations

from diagnose.cli.group import Group

__all__ = ["add_closing", "add_customer", "add_passing", "add_shelf"]

_QUOTE = """\
examples:
  diagnose jobs quote 1124-07   the plan as judged now, with its price
  diagnose jobs quote 1124-07 --stage full_service --price 180 --up-to 220
Done again, it counts how often was asked.
"""

_APPROVE = """\
examples:
  diagnose jobs approve 1124-07             what was quoted, else the plan
  diagnose jobs approve 1124-07 --up-to 90  at most 90 without another call
  diagnose jobs approve 1124-07 --stage full_service
"""

_DECLINE = """\
examples:
  diagnose jobs decline 1124-07 --told "it may go flat; do not ride it"
  diagnose jobs decline 1124-07 --everything --told "collects it on Friday"
"""

_PARTS = """\
examples:
  diagnose jobs parts 1124-07                       the kit of the plan
  diagnose jobs parts 1124-07 --have all
  diagnose jobs parts 1124-07 --have 2 --order "seal kit=2031-04-12"
"""

_PROMISE = """\
examples:
  diagnose jobs promise 1124-07 +3    in three days
  diagnose jobs promise 1124-07 none  take the promise back
"""

_HAND = """\
examples:
  diagnose jobs hand 1124-07 --to CD              where it is
  diagnose jobs hand 1124-07 --to CD --at bench
"""

_LINK = """\
examples:
  diagnose jobs link 1124-07 --comeback-of 1101-02   closed, and back again
  diagnose jobs link 1124-07 --same-bike-as 1124-06
"""

_REFER = """\
examples:
  diagnose jobs refer 1124-07                       the pack as text
  diagnose jobs refer 1124-07 --to "the north shop" it goes there now
  diagnose jobs refer 1124-07 --html pack.html
"""

_CLOSE = """\
examples:
  diagnose jobs close 1124-07                    asks, a key an answer
  diagnose jobs close 1124-07 --found can_seal_worn --test passed
  diagnose jobs close 1124-07 --as not_collected --words "called three times"
"""


def add_customer(group: Group) -> None:
    """What the customer was asked and answered."""
    quote = group.action(
        "quote",
        "ask the customer: plan and price; it waits for the answer",
        "agreements",
        "job",
        "store",
        "json",
        examples=_QUOTE,
    )
    quote.add_argument("--price", type=float, metavar="N", help="what was named")
    approve = group.action(
        "approve", "the customer agrees", "agreements", "job", "store", "json", examples=_APPROVE
    )
    for sub in (quote, approve):
        sub.add_argument("--up-to", type=float, metavar="N", help="at most so much without a call")
        sub.add_argument("--told", default="", metavar="WORDS", help="what else was said")
    decline = group.action(
        "decline",
        "the customer declines; keep what was told",
        "agreements",
        "job",
        "store",
        "json",
        examples=_DECLINE,
    )
    decline.add_argument("--told", default="", metavar="WORDS", help="what the customer was told")
    decline.add_argument("--everything", action="store_true", help="not only this plan")
    for sub in (quote, approve, decline):
        sub.add_argument(
            "--stage",
            action="append",
            default=[],
            metavar="ID",
            help="about this stage instead of the plan; may be repeated",
        )


def add_shelf(group: Group) -> None:
    """Kit and the promised day."""
    parts = group.action(
        "parts",
        "the kit: what is here, ordered, unknown",
        "parts",
        "job",
        "store",
        "json",
        examples=_PARTS,
    )
    for state, metavar in (("have", "ITEM"), ("order", "ITEM[=DAY]"), ("unknown", "ITEM")):
        parts.add_argument(
            f"--{state}",
            action="append",
            default=[],
            metavar=metavar,
            help="number or part of a line, or all; may be repeated",
        )
    promise = group.action(
        "promise",
        "the day that the customer was told",
        "parts",
        "job",
        "store",
        "json",
        examples=_PROMISE,
    )
    promise.add_argument("day", metavar="DAY", help="2031-04-12, today, tomorrow, +3, or none")


def add_passing(group: Group) -> None:
    """To another person, another shop, another job."""
    hand = group.action(
        "hand", "give the job to another person", "passing", "job", "store", "json", examples=_HAND
    )
    hand.add_argument("--to", required=True, metavar="XY", help="initials of that person")
    hand.add_argument("--at", choices=("counter", "bench"), help="where it goes on")
    group.action("ready", "the work is done", "passing", "job", "store", "json")
    link = group.action(
        "link", "tie a job to another one", "passing", "job", "store", "json", examples=_LINK
    )
    link.add_argument("--comeback-of", default="", metavar="JOB", help="it came back from this job")
    link.add_argument("--same-bike-as", default="", metavar="JOB", help="another job of the bike")
    refer = group.action(
        "refer",
        "the referral pack for whoever takes it on",
        "papers",
        "job",
        "store",
        "json",
        "paper",
        examples=_REFER,
    )
    refer.add_argument("--to", default="", metavar="WHOM", help="it goes there now: keep that")
    refer.add_argument("--told", default="", metavar="WORDS", help="what the customer was told")


def add_closing(group: Group) -> None:
    close = group.action(
        "close",
        "what was found, and how it ended",
        "closing",
        "job",
        "store",
        "json",
        examples=_CLOSE,
    )
    close.add_argument(
        "--as",
        dest="ended",
        default="",
        choices=("not_wanted", "not_collected", "replaced", "referred"),
        help="it ended without our repair; then no question is asked",
    )
    close.add_argument(
        "--found",
        metavar="ID,ID",
        help="causes found; none_of_these, nothing or not_looked; then no question is asked",
    )
    close.add_argument("--words", default="", help="what was found, in words")
    close.add_argument("--stage", help="what was done")
    close.add_argument("--minutes", type=float)
    close.add_argument("--parts", type=float, help="cost of parts")
    close.add_argument(
        "--test",
        choices=("passed", "failed", "not_repeated"),
        default="not_repeated",
        help="the complaint's own test, repeated",
    )
    close.add_argument("--comeback-of", default="", metavar="JOB", help="the job it came back from")
