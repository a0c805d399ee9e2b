"""The knowledge as a set of linked pages that need no server: contents, search, every card.

Rules
-----
- All pages lie in one folder and name one another by file name, so that the folder can be moved,
  zipped or put on a stick.
- Only the contents page holds code, for the search; without code it is still the contents.
- The same knowledge gives the same bytes.
"""

from __future__ import annotations

import json
import re
from collections import defaultdict
from collections.abc import Iterable, Iterator
from pathlib import Path

from diagnose.errors import InputError
from diagnose.knowledge.loader import Knowledge
from diagnose.reports.book_cards import cause_page, check_page, sheet_page, symptom_page
from diagnose.reports.book_drawing import drawing_pages
from diagnose.reports.book_links import Shelf, plain
from diagnose.reports.book_overviews import overview_pages
from diagnose.reports.html import bullets, join, link, tag
from diagnose.reports.lookalikes import lookalike_pages
from diagnose.reports.page import embedded, page
from diagnose.reports.usage import kinds_of

__all__ = ["book_pages", "write_book"]

#: every word typed must begin a word of the card; a word of its name counts most
_SEARCH = """
(function () {
  var data = JSON.parse(document.getElementById("data").textContent);
  var words = Object.keys(data.words);
  var box = document.getElementById("find");
  var list = document.getElementById("found");
  var told = document.getElementById("told");
  function scores(start) {
    var found = {};
    words.forEach(function (word) {
      if (word.indexOf(start) !== 0) return;
      var whole = word === start ? 2 : 1;
      data.words[word].forEach(function (entry) {
        var card = entry >> 1, weight = (entry & 1 ? 4 : 1) * whole;
        found[card] = Math.max(found[card] || 0, weight);
      });
    });
    return found;
  }
  function search() {
    var typed = box.value.toLowerCase().match(/[a-z0-9]+/g) || [];
    list.textContent = "";
    told.textContent = "";
    if (!typed.length) return;
    var all = typed.map(scores);
    var rows = Object.keys(all[0]).filter(function (card) {
      return all.every(function (one) { return card in one; });
    }).map(function (card) {
      return [all.reduce(function (sum, one) { return sum + one[card]; }, 0), +card];
    }).sort(function (a, b) { return b[0] - a[0] || a[1] - b[1]; });
    told.textContent = rows.length === 0 ? "Nothing has all these words." :
      rows.length === 1 ? "One card." : rows.length + " cards, the closest first.";
    rows.slice(0, 40).forEach(function (row) {
      var card = data.cards[row[1]], item = document.createElement("li");
      var to = document.createElement("a");
      to.href = card[0];
      to.textContent = card[1];
      item.appendChild(to);
      item.appendChild(document.createTextNode(" (" + card[2] + ")"));
      list.appendChild(item);
    });
  }
  box.addEventListener("input", search);
  search();
})();
"""


def book_pages(knowledge: Knowledge) -> dict[str, str]:
    """File name -> text of every page.

    Parameters
    ----------
    knowledge : cards that passed the check.
    """
    shelf = Shelf(knowledge)
    files = {"index.html": _contents(shelf)}
    for cause in knowledge.causes.values():
        files[f"cause-{cause.id}.html"] = cause_page(shelf, cause)
    for symptom in knowledge.symptoms.values():
        files[f"symptom-{symptom.id}.html"] = symptom_page(shelf, symptom)
    for check in knowledge.checks.values():
        files[f"check-{check.id}.html"] = check_page(shelf, check)
    for sheet in knowledge.sheets.values():
        files[shelf.address(sheet.id)] = sheet_page(shelf, sheet)
    return files | lookalike_pages(shelf) | overview_pages(shelf) | drawing_pages(shelf)


def write_book(knowledge: Knowledge, directory: Path) -> list[Path]:
    """Write the book into a folder, made if need be; the contents page comes first.

    Returns
    -------
    Paths of all pages written.

    Raises
    ------
    InputError : the folder cannot be made or written to.
    """
    try:
        directory.mkdir(parents=True, exist_ok=True)
        files = book_pages(knowledge)
        for name, text in files.items():
            (directory / name).write_text(text, "utf-8")
    except OSError as error:
        raise InputError(
            f"The book cannot be written: {error.strerror}.",
            where=str(directory),
            next_step="Name a folder that you may write to.",
        ) from error
    return [directory / name for name in files]


def _contents(shelf: Shelf) -> str:
    cards = shelf.knowledge
    parts = [
        ("symptoms.html", "Symptoms", f"{len(cards.symptoms)}, as riders say them"),
        ("causes.html", "Causes", f"{len(cards.causes)}, with what finds and what cures each"),
        ("checks.html", "Checks", f"{len(cards.checks)}, step by step"),
        ("stages.html", "Sheets", f"{len(cards.stages)} ways for a job to end, and small jobs"),
        ("lookalikes.html", "Look-alikes", "what else does that, and what settles it"),
        ("findings.html", "Symptom graph", f"{len(cards.findings)} findings, with pictures"),
        ("safety.html", "Safety", "hazards, cautions, signs on which nobody opens it"),
        ("numbers.html", "Numbers and sources", "where every number comes from"),
        ("words.html", "Words", "how a complaint is read"),
    ]
    if cards.drawing is not None:
        parts.insert(0, ("drawing.html", cards.drawing.name, f"{len(cards.parts)} parts by name"))
    return page(
        f"What is known about the {cards.pack.name}",
        tag("p", cards.pack.start_line, class_="lead"),
        tag(
            "div",
            tag("h2", tag("label", "Find by word", for_="find")),
            tag(
                "input",
                id="find",
                class_="find",
                type="search",
                autocomplete="off",
                placeholder="clunk, knob, soap ...",
            ),
            tag("p", id="told", role="status", class_="soft"),
            tag("ul", id="found"),
            class_="screen-only",
        ),
        tag("h2", "Contents"),
        bullets(join([link(file, name), f", {what}"], "") for file, name, what in parts),
        embedded(_word_list(shelf)),
        foot=f"{cards.pack.name}, knowledge {cards.fingerprint}",
        script=_SEARCH,
    )


def _word_list(shelf: Shelf) -> str:
    """JSON: ``cards`` as [page, name, kind], ``words`` as word -> 2 x card, + 1 if in its name."""
    cards: list[tuple[str, str, str]] = []
    index: defaultdict[str, dict[int, int]] = defaultdict(dict)
    for kind, ident, name, body in _entries(shelf):
        number = len(cards)
        cards.append((shelf.address(ident, kind), name, plain(kind)))
        for word in _words_of(body):
            index[word][number] = 0
        for word in _words_of([name]):
            index[word][number] = 1
    words = {
        word: [2 * card + named for card, named in sorted(found.items())]
        for word, found in sorted(index.items())
    }
    return json.dumps({"cards": cards, "words": words}, separators=(",", ":"))


def _entries(shelf: Shelf) -> Iterator[tuple[str, str, str, list[str]]]:
    """Kind, id, name and text of every card that has a page or a place on one."""
    cards = shelf.knowledge
    for symptom in cards.symptoms.values():
        said = [text for texts in symptom.phrases.values() for text in texts]
        yield "symptom", symptom.id, symptom.name, [symptom.question, *said]
    for cause in cards.causes.values():
        yield "cause", cause.id, cause.name, [cause.plain, cause.about, *cause.remedy.kit]
    for check in cards.checks.values():
        texts = [check.question, *check.steps, *check.tools, check.why]
        yield "check", check.id, check.name, [*texts, *(a.text for a in check.answers)]
    for sheet in cards.sheets.values():
        steps, kind = [step.do for step in sheet.steps], kinds_of(cards, sheet.id)[0]
        yield kind, sheet.id, sheet.name, [sheet.plain, *sheet.kit, *steps, *sheet.proof]
    for finding in cards.findings.values():
        yield "finding", finding.id, finding.name, [finding.plain, finding.about]
    for part in cards.parts.values():
        yield "part", part.id, part.name, [part.about]
    for hazard in cards.hazards.values():
        yield "hazard", hazard.id, hazard.name, []
    for caution in cards.cautions.values():
        name = f"{caution.signal_word}: {caution.hazard}"
        yield "caution", caution.id, name, [caution.consequence, caution.avoidance]


def _words_of(texts: Iterable[str]) -> set[str]:
    return {word for text in texts for word in re.findall(r"[a-z0-9]+", text.lower())} - {""}
