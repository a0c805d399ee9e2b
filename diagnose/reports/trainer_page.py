"""The trainer's page: who practises, which skills, what was unsafe, where it goes, what is next.

Rules
-----
- Initials only. Whoever was unsafe lately stands out by words, never by a rank among people.
- Rights at a real bench are signed by a trainer; the page lists them and leaves a line for a hand.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from diagnose.knowledge.loader import Knowledge
from diagnose.pictures.chart import Chart
from diagnose.pictures.svg import chart_svg
from diagnose.reports.html import Html, bullets, table, tag
from diagnose.reports.page import page, write_in
from diagnose.shop.rights import Signature
from diagnose.training.ledger import Person, Session
from diagnose.training.scenario import skill_of
from diagnose.training.schedule import due_of
from diagnose.training.scoring import PASS

__all__ = ["trainer_page", "trend"]

#: sessions that a trend compares with those before them
_LATE = 5

#: points between two means that count as a change
_CHANGE = 5.0


def trend(sessions: Sequence[Session]) -> str:
    """Whether the latest scores are better than those before them, in words.

    >>> trend([])
    'too few sessions to say'
    """
    late, early = sessions[-_LATE:], sessions[:-_LATE]
    if len(late) < _LATE or not early:
        return "too few sessions to say"
    change = sum(s.score for s in late) / len(late) - sum(s.score for s in early) / len(early)
    if abs(change) < _CHANGE:
        return "about the same"
    return f"{'better' if change > 0 else 'worse'} by {abs(change):.0f} points"


def trainer_page(
    people: Sequence[Person],
    knowledge: Knowledge,
    upcoming: Mapping[str, str],
    signed: Mapping[str, Mapping[str, Signature]],
    when: str = "",
) -> str:
    """One page about everybody.

    Parameters
    ----------
    upcoming : initials -> what to practise next. signed : initials -> rights that stand.
    when : date, for the foot.
    """
    rows = [_row(person, upcoming.get(person.initials, "")) for person in people]
    parts: list[str] = [
        tag("p", "Nobody has practised yet.")
        if not rows
        else table(["Who", "Sessions", "Score", "Safety lapses", "Trend", "Next"], rows)
    ]
    for person in people:
        rights = signed.get(person.initials, {})
        parts += [_person(person, knowledge, list(rights.values()))]
    return page("Training", *parts, foot=when)


def _row(person: Person, upcoming: str) -> list[str]:
    sessions = person.sessions
    late = sessions[-_LATE:]
    mean = f"{sum(s.score for s in late) / len(late):.0f} (last {len(late)})" if late else "none"
    lapses = sum(len(s.lapses) for s in sessions)
    recent = sum(len(s.lapses) for s in late)
    said = f"{lapses}, {recent} of them lately" if recent else str(lapses)
    return [person.initials, str(len(sessions)), mean, said, trend(sessions), upcoming]


def _person(person: Person, knowledge: Knowledge, rights: Sequence[Signature]) -> Html:
    skills = []
    for skill, card in sorted(person.cards.items(), key=lambda pair: due_of(pair[1])):
        own = [s for s in person.sessions if s.skill == skill]
        skills.append(
            [
                skill_of(knowledge, skill),
                str(len(own)),
                f"{own[-1].score:.0f}" if own else "",
                due_of(card).date().isoformat(),
            ]
        )
    lapses = [f"{s.time[:10]}, {s.scenario}: {what}" for s in person.sessions for what in s.lapses]
    begun = f"Broken off and not gone on with: {len(person.open)}."
    signed = [f"{s.right.replace('_', ' ')}: {s.by}, {s.time[:10]}" for s in rights]
    brier = sum(s.brier for s in person.sessions) / max(len(person.sessions), 1)
    confidence = f"Mean Brier score of stated confidence: {brier:.2f} (0 is best)."
    picture = Html()
    if len(person.sessions) > 1:
        points = tuple((float(n), s.score) for n, s in enumerate(person.sessions, 1))
        chart = Chart(
            f"Scores of {person.initials}",
            f"{len(points)} sessions, {trend(person.sessions)}.",
            "session",
            "score",
            (("score", points),),
            band=((1.0, PASS, 100.0), (float(len(points)), PASS, 100.0)),
            band_label="passed, if nothing was unsafe",
        )
        picture = Html(chart_svg(chart, 480.0, 220.0))
    return tag(
        "section",
        tag("h2", person.initials),
        table(["Skill", "Times", "Last score", "Due"], skills),
        tag("p", confidence) if person.sessions else Html(),
        tag("p", begun) if person.open else Html(),
        tag("h3", "Safety lapses") if lapses else Html(),
        bullets(lapses),
        picture,
        tag("h3", "Rights at the real bench, by the trainer's hand"),
        bullets(signed) if signed else tag("p", "None so far."),
        write_in("right, trainer, date:"),
    )
