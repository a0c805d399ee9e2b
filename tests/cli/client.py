"""Another program holds a conversation: python3 tests/cli/client.py [JOB] < words and answers.

It knows no ids and no states: it reads what is asked and replies with one of the texts on offer.
One JSON object comes on each line; the one with ``"reply": true`` waits for an object from here.
"""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable, Iterator
from typing import Any

Message = dict[str, Any]

#: what to reply to a question, in the words of its answers; None: not sure, or leave
Choose = Callable[[Message], str | None]


def hold(command: list[str], choose: Choose) -> Iterator[Message]:
    """Hold one conversation to its end; gives every message in the order in which it came."""
    with subprocess.Popen(
        command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, encoding="utf-8"
    ) as program:
        assert program.stdin is not None
        assert program.stdout is not None
        for line in program.stdout:
            message: Message = json.loads(line)
            yield message
            if message.get("reply", False):
                program.stdin.write(json.dumps(reply_to(message, choose)) + "\n")
                program.stdin.flush()


def reply_to(message: Message, choose: Choose) -> Message:
    """The object that answers a question."""
    if message["kind"] != "question":
        return {"command": "leave"}  # an error or a note: this program has nothing better to say
    choice = choose(message)
    if message["free_text"]:
        return {"text": choice or ""}
    if choice is not None:
        return {"answer": choice}
    return {"command": "not_sure" if "not_sure" in message["commands"] else "leave"}


def in_order(words: list[str]) -> Choose:
    """Reply with the first of these words that is on offer; a free text takes the next one."""

    def choose(message: Message) -> str | None:
        offered = [answer["text"] for answer in message["answers"]]
        for word in words:
            if message["free_text"] or word in offered:
                words.remove(word)
                return word
        return None

    return choose


if __name__ == "__main__":
    at = ["bench", sys.argv[1]] if len(sys.argv) > 1 else ["counter"]
    program = [sys.executable, "-m", "diagnose", *at, "--json-lines"]
    for message in hold(program, in_order([line.rstrip("\n") for line in sys.stdin])):
        print(message.get("text") or message)
