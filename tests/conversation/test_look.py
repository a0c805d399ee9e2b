"""The five-place look: what can be looked at where only the shock is here.

Reaches conversation.questions too.
"""

from diagnose.conversation.conversation import Conversation
from diagnose.conversation.prompts import LOOK, NOTHING
from diagnose.job.events import Complained, Event, MoreLeft, Opened, SightLeft, Understood
from diagnose.job.state import fold
from diagnose.reasoning.ride import RideCall
from tests.real_pack import shop_reasoner

TALK = Conversation(shop_reasoner())


def looked(channel: str) -> tuple[str, RideCall]:
    """The look's question, and the verdict once all was well."""
    events: list[Event] = [
        Opened(pack="rear_air_shock", knowledge="", channel=channel),  # type: ignore[arg-type]
        Complained(text="it is low every morning, I pump it before each ride"),
        Understood(),
        MoreLeft(),
        SightLeft(),
    ]
    prompt = TALK.prompt(events)
    assert prompt.id == LOOK
    events += TALK.reply(events, prompt, NOTHING)
    return prompt.text, TALK.reasoner.view(fold(events)).belief.ride


def test_without_its_bike_the_places_of_the_bike_are_not_taken_as_seen() -> None:
    text, ride = looked("shock_only")
    assert "three places" in text and "brake" not in text
    assert ride.verdict == "ride_gently"
    assert "frame and links" in ride.reason.split("look at")[-1]


def test_with_the_bike_here_all_places_are_seen() -> None:
    text, ride = looked("bike_here")
    assert "five places" in text
    assert "not looked at" not in ride.reason
