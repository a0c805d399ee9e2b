"""Keys and seconds of a counter job: python -P tests/benchmarks/keystrokes.py [COLUMNSxROWS] [N].

Every case (or the first N) is talked through the real loop, from the typed complaint to the
hand-over, over a door that presses keys and turns pages as a person must. The time is that of the
keystroke-level model (Card, Moran & Newell 1980, *The keystroke-level model for user performance
time with interactive systems*), operators from memory:

    K  0.28 s  a key, average typist; letters of the complaint included
    M  1.35 s  to decide, once for each question and each page
    H  0.40 s  hand to the keyboard, once for each question: the other one holds the bike
    R          the program's own time from key to question, measured here
    read       0.25 s a word (240 words a minute) of every line that was not on the screen before:
               in this job for somebody on the first day, in any job for somebody practised

What customers take to answer and hands to look is not in it; it is the `minutes` of the cards and
stands in a line of its own.
"""

from __future__ import annotations

import os
import statistics
import sys
import time
from collections.abc import Callable, Sequence

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from diagnose.casebook.cases import Case, load_cases
from diagnose.cells import plain_text
from diagnose.conversation.conversation import Conversation
from diagnose.conversation.prompts import LOOK, MAIN, NOTHING, SIGHT, UNDERSTOOD, Prompt
from diagnose.job.events import NOT_SURE, Event, Opened
from diagnose.knowledge.loader import load
from diagnose.knowledge.root import cases_root, knowledge_root
from diagnose.reasoning.reasoner import Reasoner
from diagnose.terminal.choices import MORE
from diagnose.terminal.door import Block, Left, Screen, Settings
from diagnose.terminal.keys import Press
from diagnose.terminal.pages import paged
from diagnose.terminal.parts import key_lines
from diagnose.terminal.talk import talk

K, M, H, WORD = 0.28, 1.35, 0.40, 0.25

#: keys after which a talk counts as stuck
_STUCK = 80


class Watched(Conversation):
    """A conversation that remembers what it asked last."""

    last: Prompt

    def prompt(self, events: Sequence[Event], person: str = "", last_key: str = "") -> Prompt:
        self.last = super().prompt(events, person, last_key)
        return self.last


class Clerk:
    """A door that answers from a case and counts what that costs."""

    keeps = False
    top = ""

    @staticmethod
    def complete(typed: str) -> Sequence[str]:
        """Nobody completes anything here."""
        return ()

    def __init__(
        self, conversation: Watched, case: Case, size: tuple[int, int], known: set[str]
    ) -> None:
        self.conversation = conversation
        self.case = case
        self.width, self.rows = size
        self.keys = self.questions = 0
        self.seconds = self.own = self.by_hand = self.read = self.read_anew = 0.0
        self._seen: set[str] = set()
        self._known = known
        self._since = time.perf_counter()

    def say(self, draw: Callable[[int], Sequence[Block]]) -> None:
        self._read(
            [line for block in draw(self.width) for line in plain_text(block.lines).split("\n")]
        )

    def _read(self, lines: Sequence[str]) -> None:
        fresh = [line for line in lines if line not in self._seen]
        self._seen |= set(fresh)
        self.read += WORD * sum(len(line.split()) for line in fresh)
        self.read_anew += WORD * sum(len(line.split()) for line in fresh if line not in self._known)
        self._known |= set(fresh)

    def line(self, screen: Screen) -> str:
        raise Left

    def key(self, screen: Screen) -> Press:
        self.own += time.perf_counter() - self._since
        room = self.rows - 1 - len(key_lines(screen.commands, self.width))
        pages = paged(screen.draw(self.width), room)
        if len(pages) > 1:
            pages = paged(screen.draw(self.width), room - 2)
        wanted = self._wanted()
        name = next((a for a in screen.keys if a == wanted), screen.keys[0])
        turns = next(n for n, page in enumerate(pages) if name in page.keys)
        for page in pages[: turns + 1]:
            self._read(plain_text(page.lines).split("\n"))
        self.questions += 1
        self.keys += turns + 1
        self.seconds += H + (M + K) * (turns + 1)
        self.by_hand += 60.0 * self.conversation.last.minutes
        if self.keys > _STUCK:
            raise Left
        self._since = time.perf_counter()
        return Press("answer", name) if wanted != "0" else Press("command", "not_sure")

    def _wanted(self) -> str:
        """The key of the case's answer to what is asked."""
        prompt, said = self.conversation.last, {**self.case.counter, **self.case.bench}
        if prompt.kind == "judgement":
            return next(a.key for a in prompt.answers if a.state == "to_bench")
        if prompt.kind == "caution":
            return prompt.answers[0].key
        if prompt.id in (MAIN, LOOK, UNDERSTOOD):
            for number, answer in enumerate(prompt.answers, 1):
                ident, _, state = answer.state.partition("=")
                if said.get(ident) == state:
                    return str(number) if number < 9 else MORE
            last = prompt.default or NOTHING
            return next((a.key for a in prompt.answers if a.state == last), "0")
        # What it has: the first thing of the case's shock, as if it were all.
        has = [a.key for a in prompt.answers if self.case.shock.get(a.state) is True]
        if prompt.id == SIGHT and has:
            return has[0]
        state = said.get(prompt.id, NOT_SURE)
        return next((a.key for a in prompt.answers if a.state == state), "0")


def play(conversation: Watched, case: Case, size: tuple[int, int], known: set[str]) -> Clerk:
    """Talk a case through the counter."""
    knowledge = conversation.reasoner.knowledge
    clerk = Clerk(conversation, case, size, known)
    words = " ".join(case.complaint.split())
    talk(
        conversation,
        [Opened(pack=knowledge.pack.id, knowledge=knowledge.fingerprint)],
        lambda new: None,
        clock=lambda: "",
        person="",
        settings=Settings(),
        said=words,
        door=clerk,
    )
    clerk.seconds += H + M + K * (len(words) + 1)
    return clerk


def main() -> None:
    size = next((a for a in sys.argv[1:] if "x" in a), "80x24")
    most = next((int(a) for a in sys.argv[1:] if a.isdigit()), None)
    columns, rows = (int(part) for part in size.split("x"))
    reasoner = Reasoner(load(knowledge_root()))
    conversation = Watched(reasoner)
    cases = load_cases(cases_root(), reasoner.knowledge)[:most]
    known: set[str] = set()
    played = [play(conversation, case, (columns, rows), known) for case in cases]
    typed = [len(" ".join(case.complaint.split())) + 1 for case in cases]

    def line(name: str, values: Sequence[float]) -> None:
        tenth = statistics.quantiles(values, n=10)
        print(f"{name:34} median {statistics.median(values):5.0f}, 9 of 10 under {tenth[8]:5.0f}")

    print(f"{len(cases)} counter jobs at {size}; K {K}, M {M}, H {H} s, {WORD} s a word read")
    line("keys, the complaint aside", [c.keys for c in played])
    line("questions and calls", [c.questions for c in played])
    line("letters of the complaint", typed)
    hands = [c.seconds + c.own for c in played]
    line("seconds, first day", [n + c.read for n, c in zip(hands, played, strict=True)])
    half = len(played) // 2
    line("seconds, practised", [n + c.read_anew for n, c in zip(hands, played, strict=True)][half:])
    line("  of these typing the complaint", [K * n for n in typed])
    line("seconds of asking and looking", [c.by_hand for c in played])
    own = [1000.0 * c.own / max(c.questions, 1) for c in played]
    print(f"program between two questions: median {statistics.median(own):.0f} ms")


if __name__ == "__main__":
    main()
