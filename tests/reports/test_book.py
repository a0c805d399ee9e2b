"""The book: every card on some page, every link leads somewhere, cautions before steps.

Reaches reports.book_cards, reports.book_drawing and reports.book_overviews too.
"""

from __future__ import annotations

import json
import re
from functools import cache
from pathlib import Path

import pytest

from diagnose.errors import InputError
from diagnose.reports.book import book_pages, write_book
from diagnose.reports.html import html
from diagnose.reports.page import caution_box
from diagnose.symptom_graph.cautions import required_cautions
from tests.reports.pages import Reader, knowledge, read


@cache
def pages() -> dict[str, str]:
    return book_pages(knowledge())


def sheet_file(ident: str) -> str:
    return f"{'small_job' if ident in knowledge().small_jobs else 'stage'}-{ident}.html"


@cache
def readers() -> dict[str, Reader]:
    return {name: read(text) for name, text in pages().items()}


def test_every_page_is_well_formed() -> None:
    faults = [f"{name}: {fault}" for name, page in readers().items() for fault in page.faults]
    assert not faults


def test_every_link_leads_to_a_page_and_a_place_on_it() -> None:
    lost = set()
    for name, reader in readers().items():
        for target in reader.links:
            file, _, place = target.partition("#")
            goal = readers().get(file or name)
            if goal is None or (place and place not in goal.ids):
                lost.add(f"{name}: {target}")
    assert not lost


def test_every_page_is_reached_from_the_contents() -> None:
    seen, waiting = set(), ["index.html"]
    while waiting:
        name = waiting.pop()
        if name not in seen:
            seen.add(name)
            waiting += [target.partition("#")[0] or name for target in readers()[name].links]
    assert seen == set(pages())


def test_every_card_stands_in_full_on_a_page() -> None:
    cards = knowledge()
    for kind in ("cause", "symptom", "check", "stage"):
        for ident, card in getattr(cards, f"{kind}s").items():
            assert card.name in readers()[f"{kind}-{ident}.html"].text
    for cause in cards.causes.values():
        text = readers()[f"cause-{cause.id}.html"].text
        parts = [cause.plain, cause.about, cause.ride.why, cause.remedy.say, *cause.remedy.kit]
        parts += [other.how for other in cause.mistaken_for]
        parts += [e.complaint for e in (*cause.typical, *cause.near_miss)]
        parts += [e.because for e in cause.near_miss]
        missing = [part for part in parts if part not in text]
        assert not missing, cause.id
    for symptom in cards.symptoms.values():
        text = readers()[f"symptom-{symptom.id}.html"].text
        said = [phrase for phrases in symptom.phrases.values() for phrase in phrases]
        missing = [part for part in (symptom.question, *said) if part not in text]
        assert not missing, symptom.id
    for check in cards.checks.values():
        text = readers()[f"check-{check.id}.html"].text
        parts = [check.question, check.why, *check.steps, *check.tools]
        parts += [part for answer in check.answers for part in (answer.text, answer.means)]
        assert all(part in text for part in parts), check.id
    for stage in cards.sheets.values():
        text = readers()[sheet_file(stage.id)].text
        parts = [stage.plain, *stage.kit, *stage.proof]
        parts += [part for step in stage.steps for part in (step.do, *step.records)]
        assert all(part in text for part in parts), stage.id
    for finding in cards.findings.values():
        page = readers()[f"findings-{finding.group}.html"]
        assert finding.id in page.ids and finding.plain in page.text
    for hazard in cards.hazards.values():
        assert hazard.name in readers()["safety.html"].text
    for source in cards.sources.values():
        assert source.text in readers()["numbers.html"].text
    assert "second opinion" in readers()["findings-air.html"].text
    for text in cards.lexicon.beside:
        assert text in readers()["words.html"].text


def test_each_part_is_told_on_the_page_of_the_drawing_with_what_points_to_it() -> None:
    cards = knowledge()
    page = readers()["drawing.html"]
    for part in cards.parts.values():
        assert f"part-{part.id}" in page.ids and part.about in page.text
    for cause in cards.causes.values():
        assert f"cause-{cause.id}.html" in page.links


def test_what_points_to_a_place_shows_it_on_its_own_page() -> None:
    cards = knowledge()
    assert cards.drawing is not None
    for kind in ("cause", "check"):
        for ident, card in getattr(cards, f"{kind}s").items():
            page = pages()[f"{kind}-{ident}.html"]
            placed = cards.drawing.placed(card.points_to)
            assert page.count('class="section marked"') == (1 if placed else 0), ident
            assert all(cards.parts[part].name in page for part in placed)
    for ident, sheet in cards.sheets.items():
        page = pages()[sheet_file(ident)]
        assert page.count('class="section all"') == 1
        assert page.count("Where: ") == sum(bool(step.points_to) for step in sheet.steps)


def test_cautions_stand_whole_before_the_steps_of_a_check() -> None:
    cards = knowledge()
    guarded = [check for check in cards.checks.values() if check.steps]
    assert any(required_cautions(cards, check.does, {}) for check in guarded)
    for check in guarded:
        page = pages()[f"check-{check.id}.html"]
        steps = page.index("<h2>Steps</h2>")
        for caution in required_cautions(cards, check.does, {}):
            assert 0 < page.index(caution_box(caution)) < steps, (check.id, caution.id)


def test_cautions_stand_whole_inside_each_step_of_a_stage_sheet_before_its_words() -> None:
    cards = knowledge()
    for stage in cards.sheets.values():
        parts = pages()[sheet_file(stage.id)].split('<div class="step">')[1:]
        assert len(parts) == len(stage.steps)
        chambers: dict[str, bool] = {}
        for part, step in zip(parts, stage.steps, strict=True):
            words = part.index(html(step.do))
            acts = [*step.does, *step.marks]
            for caution in required_cautions(cards, acts, chambers):
                assert 0 < part.index(caution_box(caution)) < words, (stage.id, caution.id)
            # What an earlier step of the sheet proved empty is empty; nothing else is.
            for act in acts:
                chambers = cards.device.after(chambers, act)


def test_each_cause_says_what_cures_it_and_where_its_numbers_come_from() -> None:
    cards = knowledge()
    for cause in cards.causes.values():
        reader = readers()[f"cause-{cause.id}.html"]
        assert {f"stage-{stage}.html" for stage in cause.cures} <= set(reader.links)
        assert f"numbers.html#source-{cause.source}" in reader.links


def test_only_the_contents_page_holds_code() -> None:
    assert [name for name, page in readers().items() if "script" in page.tags] == ["index.html"]


def test_the_search_knows_every_card_and_word() -> None:
    found = re.search(
        r'<script type="application/json" id="data">(.*?)</script>', pages()["index.html"]
    )
    assert found
    data = json.loads(found[1])
    listed = {target for target, _, _ in data["cards"]}
    cards = knowledge()
    for kind in ("cause", "symptom", "check", "stage"):
        assert {f"{kind}-{ident}.html" for ident in getattr(cards, f"{kind}s")} <= listed
    for target, name, _ in data["cards"]:
        number = [row[0] for row in data["cards"]].index(target)
        for word in re.findall(r"[a-z0-9]+", name.lower()):
            assert 2 * number + 1 in data["words"][word], (target, word)


def test_hostile_cards_stay_text() -> None:
    cards = knowledge()
    hostile = "<img src=x onerror=alert(1)></script><script>alert(2)</script>\x1b[2J"
    symptom = next(iter(cards.symptoms.values()))
    cause = next(iter(cards.causes.values()))
    changed = cards.model_copy(
        update={
            "symptoms": cards.symptoms
            | {symptom.id: symptom.model_copy(update={"name": hostile, "question": hostile})},
            "causes": cards.causes | {cause.id: cause.model_copy(update={"name": hostile})},
        }
    )
    for name, text in book_pages(changed).items():
        reader = read(text)
        assert not reader.faults, name
        assert "img" not in reader.tags
        assert reader.tags.count("script") == (2 if name == "index.html" else 0)
        assert "\x1b" not in text


def test_the_book_lands_in_one_folder_and_is_the_same_each_time(tmp_path: Path) -> None:
    folder = tmp_path / "new" / "book"
    written = write_book(knowledge(), folder)
    assert written[0] == folder / "index.html"
    assert {path.name: path.read_text("utf-8") for path in written} == pages()
    assert sorted(folder.iterdir()) == sorted(written)


def test_a_folder_that_cannot_be_is_named(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    with pytest.raises(InputError) as caught:
        write_book(knowledge(), tmp_path / "file")
    assert caught.value.where.endswith("file") and caught.value.next_step
