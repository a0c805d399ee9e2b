"""The commands run in this process, over the shop's own cards, which are read once."""

from __future__ import annotations

import io
import os
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from diagnose.cli.context import Context
from diagnose.cli.main import main
from diagnose.job.events import Answered, Complained, HandedOver, Opened
from diagnose.knowledge.loader import DEFAULT_PACK
from diagnose.reasoning import prepared
from diagnose.records.places import JOB_FILE, open_store
from tests.real_pack import pack_knowledge, pack_reasoner, shop_reasoner

DAY = "2031-04-12T09:00:00+00:00"
TOP = Path(__file__).resolve().parents[2]

#: the way in which a context makes its reasoner, before any test puts another in its place
_REASONER = Context.reasoner.func  # type: ignore[attr-defined]


@dataclass(frozen=True)
class Ran:
    """Exit status and what was written."""

    status: int
    out: str
    err: str


Run = Callable[..., Ran]


class Standard(io.TextIOWrapper):
    """Standard input that holds this."""

    def __init__(self, data: str | bytes) -> None:
        raw = data.encode("utf-8") if isinstance(data, str) else data
        super().__init__(io.BytesIO(raw), encoding="utf-8")


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Run one command: arguments, and what stands on standard input."""
    cards, reasoner = Context.knowledge.func, Context.reasoner.func  # type: ignore[attr-defined]
    monkeypatch.setattr(
        Context,
        "knowledge",
        property(
            lambda c: (
                cards(c) if c.knowledge_option else pack_knowledge(c.pack_option or DEFAULT_PACK)
            )
        ),
    )
    monkeypatch.setattr(
        Context,
        "reasoner",
        property(
            lambda c: (
                reasoner(c) if c.knowledge_option else pack_reasoner(c.pack_option or DEFAULT_PACK)
            )
        ),
    )

    def ran(*arguments: object, given: str | bytes = "") -> Ran:
        monkeypatch.setattr("sys.stdin", Standard(given))
        capsys.readouterr()
        status = main([str(argument) for argument in arguments])
        written = capsys.readouterr()
        return Ran(status, written.out, written.err)

    return ran


@pytest.fixture
def practice(monkeypatch: pytest.MonkeyPatch) -> None:
    """Training over cards that were read once; it makes a reasoner of its own kind over them."""
    shop, words = shop_reasoner(), shop_reasoner().recogniser
    monkeypatch.setattr(Context, "knowledge", property(lambda context: shop.knowledge))
    monkeypatch.setattr(prepared, "Recogniser", lambda knowledge: words)


@pytest.fixture
def environment(monkeypatch: pytest.MonkeyPatch) -> dict[str, str]:
    """Environment of a program of its own: it finds the package and one thread is enough."""
    return {**os.environ, "PYTHONPATH": str(TOP), "OPENBLAS_NUM_THREADS": "1"}


@pytest.fixture
def at_shop(monkeypatch: pytest.MonkeyPatch, run: Run) -> Run:
    """Run one command by the settings, rates and jobs of the shop's own folder."""

    def reasoner(context: Context) -> object:
        return _REASONER(context)

    monkeypatch.setattr(
        Context, "knowledge", property(lambda c: pack_knowledge(c.pack_option or DEFAULT_PACK))
    )
    monkeypatch.setattr(Context, "reasoner", property(reasoner))
    return run


@pytest.fixture
def job(own_home: Path) -> str:
    """Name of a job that lies on the bench."""
    cards = shop_reasoner().knowledge
    events = [
        Opened(pack=cards.pack.id, knowledge=cards.fingerprint, time=DAY, person="AB"),
        Complained(text="it loses air overnight \x1b[2J", time=DAY, person="AB"),
        Answered(ask="look_bolt_loose", state="no", by="counter", time=DAY, person="AB"),
        HandedOver(to="CD", time=DAY, person="AB"),
    ]
    with open_store(own_home / JOB_FILE) as store:
        return store.create(DAY, first=events)
