"""``diagnose knowledge``: every problem with its place, and the cards in other forms.

Reaches cli.gate.
"""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from diagnose.knowledge.root import knowledge_root
from tests.cli.conftest import Run

CAUSE = "rear_air_shock/causes/wiper_worn.yaml"
FINDING = "rear_air_shock/findings/creak.yaml"


@pytest.fixture
def cards(tmp_path: Path) -> Path:
    """A copy of the shop's cards, to break."""
    copy = tmp_path / "knowledge"
    shutil.copytree(knowledge_root(), copy)
    return copy


def test_sound_cards_are_counted(run: Run) -> None:
    done = run("knowledge", "check", "--pack", "rear_coil_shock")
    assert done.status == 0
    assert done.out.startswith("no problems: ")
    assert "no fault 6.0% of jobs, a second fault in 15.0%" in done.out
    assert "fingerprint " in done.out


def test_every_fault_of_broken_cards_has_a_line_of_its_own(run: Run, cards: Path) -> None:
    """What happens to files that are typed by hand, all of it at once."""
    cause = (cards / CAUSE).read_text("utf-8")
    first = "per_1000:"
    (cards / CAUSE).write_text(cause.replace(first, "per_1000: true #", 1), "utf-8")
    twice = "rear_air_shock/causes/wiper_worn_again.yaml"
    (cards / twice).write_text(cause, "utf-8")
    broken = {
        "rear_air_shock/causes/tabs.yaml": (b"id: tabs\n\tname: x\n", 2, "spaces, not tabs"),
        "rear_air_shock/causes/latin.yaml": (b"id: latin\nname: caf\xe9\n", 2, "UTF-8"),
        "rear_air_shock/causes/large.yaml": (b"#" * 10_000_000, 1, "Split it"),
    }
    for name, (content, _, _) in broken.items():
        (cards / name).write_bytes(content)
    creak = (cards / FINDING).read_text("utf-8")
    (cards / FINDING).write_text(creak.replace("source: ", "source: rumour #", 1), "utf-8")
    done = run("knowledge", "check", "--knowledge", cards)
    assert (done.status, done.out) == (1, "")
    rows = done.err.splitlines()
    for name, (_, line, hint) in broken.items():
        (row,) = (row for row in rows if name in row)
        assert f"knowledge/{name}:{line}: " in row
        assert hint in row
    line = 1 + cause[: cause.index(first)].count("\n")
    assert any(f"{CAUSE}:{line}: per_1000: 'true' or 'false' stands" in row for row in rows)
    assert any(f"{twice}:" in row and "named 'wiper_worn_again'" in row for row in rows)
    assert any(f"{FINDING}:" in row and "no source 'rumour'" in row for row in rows)
    assert "then run: diagnose knowledge check" in rows[-1]
    assert "Traceback" not in done.err


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        (
            "cures: {",
            "cures: {air_can_servise: 0.9, ",
            "no stage 'air_can_servise'. Nearest: air_can",
        ),
        (
            "links:\n",
            "links:\n  oil_sliders: 0.9\n",
            "no finding 'oil_sliders'. Nearest: oil_slider",
        ),
        ("links:\n", "links:\n  creak: 1.2\n", "1.2 is no chance: it must lie between 0 and 1"),
        (
            "links:\n",
            "links:\n  creak: 'often enough'\n",
            "neither a number nor a word of the scale",
        ),
        ("links:\n", "links:\n  creak: yes\n", "neither a number nor a word of the scale"),
        ("id: wiper_worn", "id: wiper_worn\nid: wiper_worn", "'id' stands here twice. Keep one"),
    ],
)
def test_one_fault_says_what_to_do(run: Run, cards: Path, old: str, new: str, words: str) -> None:
    text = (cards / CAUSE).read_text("utf-8")
    assert old in text
    (cards / CAUSE).write_text(text.replace(old, new, 1), "utf-8")
    done = run("knowledge", "check", "--knowledge", cards)
    assert done.status == 1
    rows = [row for row in done.err.splitlines() if words in row]
    assert rows, done.err
    assert f"knowledge/{CAUSE}:" in rows[0]


@pytest.mark.parametrize(
    ("new", "words"),
    [
        ("named: {motoin: ", "there is no group 'motoin'. Nearest: motion"),
        ("named: {motion: 1.0, noise: ", "1.0 is no chance"),
    ],
)
def test_what_people_name_of_themselves_is_held_to_groups_and_chances(
    run: Run, cards: Path, new: str, words: str
) -> None:
    pack = cards / "rear_air_shock" / "pack.yaml"
    text = pack.read_text("utf-8")
    pack.write_text(text.replace("named: {motion: 0.35, noise: ", new, 1), "utf-8")
    done = run("knowledge", "check", "--knowledge", cards)
    assert done.status == 1
    assert any(words in row for row in done.err.splitlines()), done.err


def test_broken_cards_stop_every_command_with_the_same_words(run: Run, cards: Path) -> None:
    (cards / CAUSE).write_text("id: wiper_worn\n", "utf-8")
    errors = [
        run(*command, "--knowledge", cards, given="complaint: it creaks\n").err
        for command in (("knowledge", "check"), ("assess", "-"), ("counter", "--plain"))
    ]
    assert errors[0]
    assert len(set(errors)) == 1


def test_a_card_is_shown_and_a_wrong_id_is_answered_with_the_nearest(run: Run) -> None:
    assert "wiper" in run("knowledge", "show", "wiper_worn").out
    done = run("knowledge", "show", "wiper_won")
    assert done.status == 1
    assert "Nearest: wiper_worn" in done.err


def test_the_device_is_drawn_with_what_a_card_points_to(run: Run, tmp_path: Path) -> None:
    whole = run("knowledge", "draw", "--width", "40")
    assert "shaft seal" in whole.out and "<<" not in whole.out
    for ident in ("shaft_seal", "shaft_seal_leak"):
        shown = run("knowledge", "draw", ident, "--width", "40").out
        assert "<< SHAFT SEAL" in shown
        assert shown.strip() in run("knowledge", "show", ident, "--width", "40").out
    file = tmp_path / "shaft.svg"
    assert run("knowledge", "draw", "shaft_seal", "--svg", str(file)).status == 0
    assert file.read_text("utf-8").startswith("<svg ")


def test_what_has_no_place_is_not_drawn_and_says_so(run: Run) -> None:
    for ident, words in (("whole_shock", "nothing to point at"), ("shaft_sael", "shaft_seal")):
        refused = run("knowledge", "draw", ident)
        assert refused.status == 1 and words in refused.err


def test_the_graph_comes_in_open_formats(run: Run) -> None:
    assert run("knowledge", "graph").out.startswith("digraph")
    assert run("knowledge", "graph", "--format", "bif").out.startswith("network")
    assert json.loads(run("knowledge", "graph", "--format", "json").out)


def test_the_proof_finds_no_way_round_a_caution(run: Run) -> None:
    done = run("knowledge", "prove")
    assert done.status == 0
    assert done.out.endswith(" 0 unguarded\n")


def test_the_book_is_written_where_it_is_asked_for(run: Run, tmp_path: Path) -> None:
    done = run("knowledge", "book", tmp_path / "book")
    assert done.status == 0
    assert (tmp_path / "book" / "index.html").is_file() or "begin with" in done.out
