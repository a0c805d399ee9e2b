"""``diagnose calc``: one bench calculation by itself."""

from __future__ import annotations

import json

import pytest

from tests.cli.conftest import Run


def test_without_a_name_they_are_listed(run: Run) -> None:
    done = run("calc")
    assert done.status == 0
    assert any(row.startswith("crowfoot") for row in done.out.splitlines())


def test_without_values_and_terminal_the_inputs_are_listed(run: Run) -> None:
    done = run("calc", "crowfoot")
    assert done.status == 0
    assert done.out.startswith("crowfoot: ")
    assert "[" in done.out.splitlines()[1], "each input with its unit"


@pytest.mark.parametrize(
    ("arguments", "status", "words"),
    [
        (["calc", "crowfot"], 1, "there is no calculation 'crowfot'. Nearest: crowfoot"),
        (["calc", "crowfoot", "12"], 2, "'12' is no input. Write name='value unit'."),
        (["calc", "crowfoot", "torque=12 parsecs"], 1, "parsecs"),
        (
            ["calc", "crowfoot", "tork=12 N·m"],
            1,
            "'tork' is no input of crowfoot. It takes: torque",
        ),
    ],
)
def test_what_cannot_be_calculated_is_refused(
    run: Run, arguments: list[str], status: int, words: str
) -> None:
    done = run(*arguments)
    assert done.status == status
    assert words in done.err
    assert "Traceback" not in done.err


def test_sag_by_hand(run: Run) -> None:
    """80 kg, 60 % on the rear wheel, leverage 2.5: 80 x 9.80665 x 0.6 x 2.5 = 1177 N."""
    typed = ["mass=80 kg", "leverage=2.5", "set_pressure=165 psi", "rear_share=60 %"]
    done = run("calc", "sag", *typed)
    found = json.loads(run("calc", "sag", *typed, "--json").out)
    assert done.status == 0
    assert found["name"] == "sag"
    assert found["lines"] == [row for row in done.out.splitlines() if row in found["lines"]]
    assert any(row["value"] == pytest.approx(1176.8, rel=1e-3) for row in found["values"])
    assert all(row["unit"] for row in found["values"])
