"""Pages of single cards: a cause, a symptom, a check, a stage sheet."""

from __future__ import annotations

from diagnose.knowledge.models import (
    NOTHING,
    Answer,
    Cause,
    Caution,
    Chance,
    Check,
    Example,
    Remedy,
    Sheet,
    Symptom,
    reports_of,
)
from diagnose.pictures.cross_section_svg import section_svg
from diagnose.reports.book_links import Shelf, plain
from diagnose.reports.figures import in_words, of_card, said
from diagnose.reports.html import Html, bullets, join, numbered, table, tag, ticks
from diagnose.reports.page import caution_boxes, ride_box, write_in
from diagnose.reports.pointing import section_of, where
from diagnose.symptom_graph.cautions import cautions_of
from diagnose.symptom_graph.routes import sheet_cautions
from diagnose.symptom_graph.variants import said_of

__all__ = ["cause_page", "check_page", "sheet_page", "symptom_page"]

#: weaker links are in the numbers only
_WORTH_SAYING = 0.2
#: field of a card -> what its numbers mean to a reader
_MEANS = {
    "links": "brings about",
    "cures": "cured by",
    "per_1000": "jobs in 1000 that have it",
    "counter": "come in at the counter",
    "bench": "come straight to the bench",
    "context": "relative rate",
    "customer": "the rider",
    "reliability": "this check",
    "hit": "reports it when it is there",
    "false_alarm": "reports it when it is not",
    "grade": "names the right degree",
    "act_minutes": "minutes to get ready",
    "sd": "spread",
}


def _opened(shelf: Shelf, remedy: Remedy) -> str:
    if remedy.opens == NOTHING:
        return "Nothing is opened."
    chamber = shelf.knowledge.device.chamber(remedy.opens)
    return chamber.opened or f"It opens: {chamber.name}."


def cause_page(shelf: Shelf, cause: Cause) -> str:
    """A cause: what it is, how it shows, what settles it, what cures it, every number."""
    remedy = cause.remedy
    cures = table(
        ["stage", "cures it"],
        [[shelf.link(stage), _chance(shelf, chance)] for stage, chance in cause.cures.items()],
    )
    return shelf.page(
        cause.name,
        tag(
            "p",
            f"cause: {shelf.knowledge.pack.systems.get(cause.system, cause.system)}",
            class_="kind",
        ),
        tag("p", cause.plain, class_="lead"),
        ride_box(cause.ride.verdict, cause.ride.why),
        _pointed(shelf, cause.points_to, "Here"),
        tag("p", cause.about),
        _heard(shelf, cause),
        _found(shelf, cause),
        tag("h2", "What it is taken for"),
        _taken_for(shelf, cause),
        tag("h2", "What to do"),
        caution_boxes(cautions_of(shelf.knowledge, cause.hazards)),
        tag(
            "p",
            tag("b", f"{remedy.minutes:g} minutes"),
            f", parts {remedy.parts:g} "
            f"{shelf.knowledge.pack.economics.currency}, without opening and closing. "
            + _opened(shelf, remedy),
        ),
        Html() if remedy.job is None else tag("p", "All it takes: ", shelf.link(remedy.job), "."),
        tag("p", remedy.say) if remedy.say else Html(),
        tag("p", "Once open: ", cause.inside, ".") if cause.inside else Html(),
        bullets(remedy.kit),
        cures,
        tag("h2", "Must come first"),
        bullets(_example(shelf, example) for example in cause.typical),
        tag("h2", "Near misses, where something else must win"),
        bullets(_example(shelf, example) for example in cause.near_miss),
        *_numbers(shelf, cause.id),
        way=[("causes.html", "Causes")],
    )


def symptom_page(shelf: Shelf, symptom: Symptom) -> str:
    """A symptom: the question, how riders say each answer, and what it points to."""
    said_so = [
        join(
            [
                tag("h3", _answer_text(symptom.answers, state)),
                tag("ul", join(tag("li", f"“{text}”") for text in texts), class_="columns"),
            ]
        )
        for state, texts in symptom.phrases.items()
    ]
    warned = shelf.knowledge.said_first(symptom.observes)
    asked = "Riders can be asked." if symptom.ask else "Only ever heard: riders cannot know it."
    return shelf.page(
        symptom.name,
        tag("p", "symptom: what a rider says", class_="kind"),
        tag("p", tag("b", "Said before any question:")) if warned else Html(),
        caution_boxes(warned),
        tag("p", symptom.question, class_="lead"),
        bullets(answer.text for answer in symptom.answers),
        tag("p", asked, f" {symptom.why}"),
        _points_to(shelf, symptom.observes),
        tag("h2", "How riders say it"),
        *said_so,
        *_numbers(shelf, symptom.id),
        way=[("symptoms.html", "Symptoms")],
    )


def check_page(shelf: Shelf, check: Check) -> str:
    """A check: cautions, steps, tools, minutes, what each answer means and what it settles."""
    shared = (
        f", and {check.act_minutes:g} to get ready ({plain(check.act)}), shared with the other "
        "checks that need it"
        if check.act
        else ""
    )
    clears = [f for f in shelf.knowledge.floors if check.id in (f.lifted_by or ())]
    settles = [
        join([shelf.link(cause), " or ", shelf.link(other.cause), f": {other.how}"], "")
        for cause, other in shelf.settled_by[check.id]
    ]
    device = shelf.knowledge.device
    does = ", ".join(map(device.says, device.effects(check.does)))
    return shelf.page(
        check.name,
        tag("p", f"check at the {check.at}", class_="kind"),
        tag("p", check.question, class_="lead"),
        tag("p", f"{check.minutes:g} minutes{shared}. Tools: {', '.join(check.tools) or 'none'}."),
        tag("p", f"It changes the shock: {does}.") if does else Html(),
        tag("p", "It loads the shock.") if device.loading & set(check.does) else Html(),
        caution_boxes(shelf.cautions(check.does)),
        _pointed(shelf, check.points_to, "Look here"),
        tag("h2", "Steps") if check.steps else Html(),
        numbered(check.steps),
        tag("h2", "What each answer means"),
        table(["answer", "meaning"], [[tag("b", a.text), a.means] for a in check.answers]),
        tag("p", check.why) if check.why else Html(),
        tag(
            "p",
            tag("b", "Its healthy answer takes away: "),
            "; ".join(f"{plain(f.finding)}, {plain(f.at_least)} on" for f in clears),
            ".",
        )
        if clears
        else Html(),
        tag("h2", "What it settles") if settles else Html(),
        bullets(settles),
        *(_points_to(shelf, finding) for finding in check.findings),
        *_numbers(shelf, check.id),
        way=[("checks.html", "Checks")],
    )


def sheet_page(shelf: Shelf, sheet: Sheet) -> str:
    """A sheet to work by: cautions in full before their step, lines to write on."""
    cards = shelf.knowledge
    job = cards.small_jobs.get(sheet.id)
    of = cards.stage_of(sheet.id)
    cured = sorted(
        (-cards.chance(cause.cures[of]), cause.id)
        for cause in cards.causes.values()
        if of in cause.cures and (job is None or cause.remedy.job == job.id)
    )
    time = f"{sheet.minutes:g} minutes"
    if sheet.opening_minutes:
        time += f", and {sheet.opening_minutes:g} to open, close and fill again"
    return shelf.page(
        sheet.name,
        tag("p", "sheet of a stage" if job is None else "sheet of a small job", class_="kind"),
        tag("p", sheet.plain, class_="lead"),
        tag(
            "p",
            f"{time}; parts {sheet.parts:g} {cards.pack.economics.currency}. "
            "The remedies of the causes come on top.",
        ),
        Html() if job is None else tag("p", "It is a part of: ", shelf.link(job.stage), "."),
        tag("p", "It contains: ", join(map(shelf.link, sheet.includes), ", "), ".")
        if sheet.includes
        else Html(),
        tag("p", "The shop needs: ", ", ".join(map(plain, sheet.shop_needs)), ".")
        if sheet.shop_needs
        else Html(),
        tag("p", cards.pack.start_line),
        tag("h2", "Kit") if sheet.kit else Html(),
        ticks(sheet.kit),
        tag("h2", "Steps"),
        *_numbered_parts(shelf, sheet),
        *(
            _step(shelf, sheet, number, cautions)
            for number, cautions in sheet_cautions(cards, sheet, {})
        ),
        tag("h2", "Proof") if sheet.proof else Html(),
        ticks(sheet.proof),
        tag("h2", "Causes it cures") if cured else Html(),
        bullets(join([shelf.link(ident), f", {in_words(-chance)}"], "") for chance, ident in cured),
        *_numbers(shelf, sheet.id),
        way=[("stages.html", "Sheets")],
    )


def _step(shelf: Shelf, sheet: Sheet, number: int, cautions: list[Caution]) -> Html:
    step = sheet.steps[number]
    asked = [f"{plain(field)}, from this shock's own sheet" for field in step.asks_sheet]
    return tag(
        "div",
        tag("h3", f"Step {number + 1} of {len(sheet.steps)}"),
        caution_boxes(cautions),
        tag("p", said_of(shelf.knowledge.device, step, {})),
        tag("p", f"Where: {place}.", class_="soft")
        if (place := where(shelf.knowledge, step.points_to))
        else Html(),
        join(write_in(label) for label in [*asked, *step.records]),
        tag("p", "Asked for once it is done: ", join(map(shelf.link, step.asks), ", "), ".")
        if step.asks
        else Html(),
        class_="step",
    )


def _pointed(shelf: Shelf, parts: list[str], title: str) -> Html:
    """A small picture with what a card points to."""
    picture = section_of(shelf.knowledge, parts, title=title)
    return Html(section_svg(picture, named="marked")) if picture else Html()


def _numbered_parts(shelf: Shelf, sheet: Sheet) -> list[Html]:
    """One picture whose numbers the steps name."""
    if not any(step.points_to for step in sheet.steps):
        return []
    picture = section_of(shelf.knowledge, whole=True)
    return [Html(section_svg(picture))] if picture else []


def _heard(shelf: Shelf, cause: Cause) -> Html:
    rows = []
    for finding, state, chance in _shown_links(shelf, cause):
        for symptom in shelf.symptoms_of[finding]:
            texts = symptom.phrases.get(state) or [_answer_text(symptom.answers, state)]
            rows.append([shelf.link(symptom.id), f"“{texts[0]}”", in_words(chance)])
    return join([tag("h2", "What the rider says"), table(["about", "such as", "how often"], rows)])


def _found(shelf: Shelf, cause: Cause) -> Html:
    rows = [
        [shelf.link(check.id), _shown_as(check, finding, state), in_words(chance)]
        for finding, state, chance in _shown_links(shelf, cause)
        for check in shelf.checks_of[finding]
    ]
    return join([tag("h2", "What finds it"), table(["check", "shows", "how often"], rows)])


def _shown_as(check: Check, finding: str, state: str) -> str:
    """The answer by which a check reports a state of one of its findings."""
    said = (a.text for a in check.answers if reports_of(check, a.state).get(finding) == state)
    return next(said, plain(state))


def _shown_links(shelf: Shelf, cause: Cause) -> list[tuple[str, str, float]]:
    """Finding, the gravest state it brings about as often as not, chance; the strongest first."""
    shown = []
    for finding, link_ in cause.links.items():
        if isinstance(link_, dict):
            graded = {state: shelf.knowledge.chance(value) for state, value in link_.items()}
            firm = [state for state, chance in graded.items() if chance >= 0.5]
            state = firm[-1] if firm else next(iter(graded))
            shown.append((finding, state, graded[state]))
        else:
            chance = shelf.knowledge.chance(link_)
            shown.append((finding, shelf.knowledge.findings[finding].states[1], chance))
    worth = [row for row in shown if row[2] >= _WORTH_SAYING]
    return sorted(worth, key=lambda row: (-row[2], row[0]))


def _taken_for(shelf: Shelf, cause: Cause) -> Html:
    return table(
        ["taken for", "what settles it", "how"],
        [
            [shelf.link(other.cause), shelf.link(other.settled_by), other.how]
            for other in cause.mistaken_for
        ],
    )


def _points_to(shelf: Shelf, finding: str) -> Html:
    causes = shelf.causes_of[finding]
    about = tag(
        "p",
        "It tells of ",
        shelf.link(finding),
        ": ",
        ", ".join(map(plain, shelf.knowledge.findings[finding].states)),
        ".",
    )
    rows = [[shelf.link(ident), in_words(strength)] for strength, ident in causes]
    return join(
        [
            tag("h2", "What it points to"),
            about,
            table(["cause", "shows it"], rows),
        ]
    )


def _example(shelf: Shelf, example: Example) -> Html:
    parts: list[str] = [f"“{example.complaint}”"] if example.complaint else []
    if example.shock:
        shock = ", ".join(f"{plain(key)} {value}" for key, value in example.shock.items())
        parts.append(f"shock: {shock}")
    if example.answers:
        parts.append(shelf.given(example.answers))
    if example.because:
        parts.append(f"because {example.because}")
    if example.rank > 1:
        parts.append(f"among the first {example.rank}")
    return join(parts, "; ")


def _answer_text(answers: list[Answer], state: str) -> str:
    return next((answer.text for answer in answers if answer.state == state), plain(state))


def _chance(shelf: Shelf, chance: Chance) -> str:
    number = shelf.knowledge.chance(chance)
    return f"{in_words(number)} ({number:g})"


def _numbers(shelf: Shelf, ident: str) -> list[Html]:
    rows = []
    for figure in of_card(shelf.knowledge, ident):
        where = ", ".join(_place(shelf, part) for part in figure.field)
        note = f" {figure.note}" if figure.note else ""
        rows.append([where, said(figure), join([shelf.source(figure.source), note], "")])
    return [tag("h2", "Numbers"), table(["what", "number", "source"], rows)]


def _place(shelf: Shelf, part: str) -> str:
    """A part of a number's place in words; names of cards where it is one."""
    named = part in shelf.knowledge.findings or part in shelf.knowledge.sheets
    return shelf.name(part) if named else _MEANS.get(part, plain(part))
