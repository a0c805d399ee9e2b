"""As found and as left: the sheet before a reading, a reading before what was told."""

from __future__ import annotations

from diagnose.job.events import Described, Event, Filed, Happened, Measured, Opened, Recorded
from diagnose.job.facts import Facts
from diagnose.job.state import fold
from diagnose.job.written import at_both_times, recorded
from tests.real_pack import shop_reasoner

PRESSURE = "air pressure"
TOLD = Described(shock={"set_pressure": 165.0})
READ = Measured(ask="bench_pressure", readings={"gauge": "120 psi"}, by="bench")
AFTER = Measured(ask="bench_pressure", readings={"gauge": "170 psi"}, by="bench")


def both(*events: Event) -> dict[str, str]:
    device = shop_reasoner().knowledge.device
    opened = Opened(pack="rear_air_shock", knowledge="")
    return dict(at_both_times(fold([opened, *events]), device, PRESSURE))


def note(step: int, **values: str) -> Recorded:
    texts = {f"{PRESSURE} as {time}": text for time, text in values.items()}
    return Recorded(stage="air_can_service", number=step, values=texts)


def test_as_found_is_read_else_told() -> None:
    assert both() == {}
    assert both(TOLD) == {"found": "165 psi was told as usual"}
    assert both(TOLD, READ) == {"found": "120 psi"}


def test_a_reading_after_something_was_done_is_as_left() -> None:
    done = Happened(what="air_out", step="x")
    assert both(done, AFTER) == {"left": "170 psi"}


def test_what_was_written_at_the_sheet_goes_before_a_reading_and_the_end_before_both() -> None:
    sheet = note(0, found="118 psi"), note(30, left="165 psi")
    assert both(READ, *sheet) == {"found": "118 psi", "left": "165 psi"}
    end = Filed(facts=Facts(as_left={PRESSURE: "166 psi"}))
    assert both(READ, *sheet, end)["left"] == "166 psi"


def test_the_last_word_of_a_record_counts() -> None:
    opened = Opened(pack="rear_air_shock", knowledge="")
    job = fold([opened, note(0, found="118 psi"), note(0, found="119 psi")])
    assert recorded(job, f"{PRESSURE} as found") == "119 psi"
    assert recorded(job, "nothing like it") == ""
