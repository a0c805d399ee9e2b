"""A job from outside: all parts optional, nothing guessed, refusals with the nearest names."""

from __future__ import annotations

from typing import Any

import pytest

from diagnose.bench.kinds import KINDS
from diagnose.errors import InputError
from diagnose.job.events import Answered, Complained, Described, Measured, Opened
from diagnose.job.job_file import answer_events, events_of, read_shock
from tests.kettle import kettle_reasoner
from tests.real_pack import shop_reasoner

KETTLE = kettle_reasoner().knowledge
FIELDS = shop_reasoner().knowledge.device.fields


def shock(**fields: Any) -> dict[str, Any]:
    return read_shock(fields, shop_reasoner().knowledge)[0]


def refusal(data: Any) -> InputError:
    with pytest.raises(InputError) as caught:
        events_of(data, KETTLE)
    return caught.value


def test_an_empty_job_is_a_job() -> None:
    events, warnings = events_of({"pack": "kettle"}, KETTLE, "2026-03-02")
    assert events == [
        Opened(time="2026-03-02", pack="kettle", knowledge=KETTLE.fingerprint, at="counter")
    ]
    assert warnings == []


@pytest.mark.parametrize(
    "empty", [{"shock": None, "complaint": None, "answers": None}, {"complaint": " "}]
)
def test_empty_parts_add_nothing(empty: dict[str, Any]) -> None:
    assert len(events_of({"pack": "kettle", **empty}, KETTLE)[0]) == 1


def test_every_part_becomes_its_event() -> None:
    data = {
        "pack": "kettle",
        "at": "bench",
        "channel": "phone",
        "complaint": "drips",
        "shock": {"cordless": "yes", "age_years": "3,5"},
        "answers": {
            "said_drips": "drips",
            "bench_leak": {"state": "dry"},
            "look_cord": {"state": "bare", "by": "customer"},
        },
    }
    events, _ = events_of(data, KETTLE)
    assert events[1:] == [
        Described(shock={"cordless": True, "age_years": 3.5}),
        Complained(text="drips"),
        Answered(ask="said_drips", state="drips", by="customer"),
        Answered(ask="bench_leak", state="dry", by="bench"),
        Answered(ask="look_cord", state="bare", by="customer"),
    ]


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (["a"], "job: a job is a mapping of fields."),
        ("text", "job: a job is a mapping of fields."),
        ({"complant": "x"}, "'complant' is no field of a job. Nearest: complaint"),
        ({"pack": "cattle"}, "pack: this is a job of the pack 'cattle', not of 'kettle'."),
        ({"at": "home"}, "at: 'home' is no place. Use counter or bench."),
        ({"channel": "fone"}, "channel: 'fone' is no channel. Nearest: phone"),
        ({"complaint": ["a"]}, "complaint: the complaint is free text. Quote it."),
        ({"shock": "blue"}, "shock: the shock is a mapping of fields."),
        ({"answers": ["said_drips"]}, "answers: answers are a mapping from id to state."),
        ({"answers": {"said_drops": "dry"}}, "answers.said_drops: there is no symptom or check"),
        (
            {"answers": {"said_drips": "wet"}},
            "'wet' is no state of said_drips. States: dry, drips,",
        ),
        ({"answers": {"said_drips": {"state": "dry", "by": "benc"}}}, "'benc' is no reporter."),
        ({"answers": {"said_drips": {"state": "dry", "sag": "1 mm"}}}, "does not go with a state"),
        ({"answers": {"said_drips": {"sag": "1 mm"}}}, "takes a state, not readings"),
        ({"answers": {"bench_leak": {"sag": "1 mm"}}}, "takes a state, not readings"),
        ({"answers": {"said_drips": None}}, "'None' is no state"),
    ],
)
def test_what_cannot_be_understood_is_refused(data: Any, words: str) -> None:
    whole = {"pack": "kettle", **data} if isinstance(data, dict) else data
    assert words in str(refusal(whole))


def test_the_nearest_names_are_offered() -> None:
    error = refusal({"pack": "kettle", "answers": {"said_drops": "dry"}})
    assert error.next_step.startswith("Nearest: said_drips")
    assert error.exit_code == 1


def test_not_sure_is_a_state_of_everything() -> None:
    for ask in [*KETTLE.symptoms, *KETTLE.checks]:
        assert answer_events(ask, "not_sure", KETTLE, "counter")


def test_yes_and_no_read_as_booleans_are_the_words_they_were() -> None:
    cards = shop_reasoner().knowledge
    assert answer_events("said_creak", True, cards, "counter") == [
        Answered(ask="said_creak", state="yes")
    ]
    assert answer_events("said_creak", False, cards, "counter") == [
        Answered(ask="said_creak", state="no")
    ]


def test_readings_are_kept_as_typed_and_checked_at_once() -> None:
    cards = shop_reasoner().knowledge
    good = {"sag": "17 mm", "stroke": "55 mm"}
    assert answer_events("bench_sag", good, cards, "bench") == [
        Measured(ask="bench_sag", readings=good, by="bench")
    ]
    for bad in ({"sag": "17 parsecs", "stroke": "55 mm"}, {"sagg": "17 mm", "stroke": "55 mm"}):
        with pytest.raises(InputError) as caught:
            answer_events("bench_sag", bad, cards, "bench")
        assert caught.value.where == "answers.bench_sag"
        assert caught.value.next_step


@pytest.mark.parametrize(
    ("field", "value", "read"),
    [
        ("piggyback", True, True),
        ("piggyback", "no", False),
        ("remote_lockout", "TRUE", True),
        ("lockout", 0, False),
        ("hours_since_air_service", 120, 120.0),
        ("stroke_mm", "57,5", 57.5),
        ("climate", "cold", "cold"),
        ("set_pressure", "165 psi", pytest.approx(165.0)),
        ("set_pressure", "11.4 bar", pytest.approx(11.4 * 14.5037738)),
        ("history", 7, "7"),
    ],
)
def test_fields_are_read_in_their_units(field: str, value: object, read: object) -> None:
    assert shock(**{field: value}) == {field: read}


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("piggyback", "maybe"),
        ("age_years", "old"),
        ("age_years", -1),
        ("stroke_mm", "1e9"),
        ("stroke_mm", "nan"),
        ("set_pressure", "165 furlongs"),
        ("set_pressure", "high"),
        ("climate", "martian"),
    ],
)
def test_a_field_that_cannot_be_read_is_refused_by_name(field: str, value: object) -> None:
    with pytest.raises(InputError) as caught:
        shock(**{field: value})
    assert caught.value.where == f"shock.{field}"


# Field -> what no shock has.
ABSURD: dict[str, list[object]] = {
    "hours_since_air_service": [-1, 99999],
    "hours_since_full_service": [-1, 99999],
    "age_years": [-1, 200],
    "rider_mass_kg": [0, 2, 9999],
    "leverage_ratio": [0, 25],
    "stroke_mm": [0, 3, 550],
    "eye_to_eye_mm": [0, 20, 2100],
    "shaft_diameter_mm": [0, 100],
    "air_can_volume_cc": [0, 99999],
    "set_pressure": ["0 psi", "-20 psi", "99999 psi", "165 bar"],
    "maximum_pressure": ["0 psi", "20 psi", "99999 psi", "300 bar"],
}


@pytest.mark.parametrize(("field", "values"), ABSURD.items())
def test_an_absurd_field_is_refused_with_what_can_be_and_why(
    field: str, values: list[object]
) -> None:
    for value in values:
        with pytest.raises(InputError) as caught:
            shock(**{field: value})
        assert caught.value.where == f"shock.{field}"
        assert f"{value} cannot be: " in caught.value.what
        assert " to " in caught.value.what and ", because " in caught.value.what
        assert caught.value.next_step


def test_every_field_with_a_number_has_absurd_values_here() -> None:
    assert set(ABSURD) == {name for name, field in FIELDS.items() if field.kind in KINDS}


def test_a_stroke_needs_a_shock_to_be_in() -> None:
    with pytest.raises(InputError, match="less than 105 mm, because the body") as caught:
        shock(stroke_mm=110, eye_to_eye_mm=210)
    assert caught.value.where == "shock.stroke_mm"


def test_a_field_that_is_hardly_true_is_kept_and_asked_about() -> None:
    fields, warnings = read_shock({"rider_mass_kg": 200}, shop_reasoner().knowledge)
    assert fields == {"rider_mass_kg": 200.0}
    assert "200 kg is not believable as rider mass" in warnings[0]


def test_an_unknown_field_changes_nothing_and_is_named() -> None:
    fields, warnings = read_shock({"colour": "red", "cord_less": True}, KETTLE)
    assert fields == {}
    assert warnings[0].startswith("shock field 'colour' is not known.")
    assert "Nearest: cordless" in warnings[1]


def test_fields_that_are_left_empty_are_unknown() -> None:
    assert shock(**dict.fromkeys(FIELDS)) == {}
