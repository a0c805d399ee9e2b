"""The shop's file and data sheets: what is wrong is named with its line, what is right is used.

Reaches cli.data_sheets, cli.settings and shop.data_sheets too.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from diagnose.cli.context import Context
from diagnose.errors import InputError
from diagnose.job.job_file import events_of
from diagnose.job.state import fold
from diagnose.knowledge.models import EachDesk
from diagnose.reasoning.judgement import judge
from diagnose.shop.settings import SHOP_FILE, Shop, read_shop
from tests.cli.conftest import Run
from tests.reports.pages import knowledge

WHOLE = """\
name: The Shop
stages: [air_can_service, no_service, do_not_open, replace_or_refer]
equipment: [shock_pump, soft_jaws, data_sheet, air_seal_kit, core_tool]
people:
  AB: [counter, air_side]
  CD: [counter, air_side, charge, supervise]
money: {rate_per_minute: 2.5, currency: CHF, patience: {counter: 4, bench: 9}}
service_hours: {air: 50}
"""


def put(home: Path, text: str) -> None:
    (home / SHOP_FILE).write_text(text, "utf-8")


def test_without_a_file_the_shop_does_and_has_everything(own_home: Path) -> None:
    shop = read_shop(own_home, knowledge())
    assert shop == Shop()
    assert not any(shop.missing_for(knowledge(), stage) for stage in knowledge().stages)
    assert shop.economics(knowledge()) == knowledge().pack.economics


def test_money_equipment_and_people_reach_whoever_decides(at_shop: Run, own_home: Path) -> None:
    put(own_home, WHOLE)
    context = Context()
    assert context.reasoner.money.rate_per_minute == 2.5
    assert context.reasoner.money.currency == "CHF"
    assert context.reasoner.money.patience == EachDesk(counter=4.0, bench=9.0)
    assert context.reasoner.money.interruption == knowledge().pack.economics.interruption
    assert context.reasoner.money.comeback == knowledge().pack.economics.comeback
    assert context.reasoner.shop_has == {
        "shock_pump",
        "soft_jaws",
        "data_sheet",
        "air_seal_kit",
        "core_tool",
    }
    roles = context.conversation.roles
    assert not roles.may("AB", "charge")
    assert roles.may("CD", "supervise")


def test_what_the_shop_lacks_for_a_stage_is_named(own_home: Path) -> None:
    put(own_home, WHOLE)
    shop = read_shop(own_home, knowledge())
    assert shop.missing_for(knowledge(), "air_can_service") == ["torque_wrench"]
    assert shop.missing_for(knowledge(), "no_service") == []
    assert shop.missing_for(knowledge(), "full_service") == ["it is not offered"]
    assert "torque_wrench" in shop.missing_for(knowledge(), "replace_or_refer")


def test_what_the_shop_does_not_do_is_not_planned_but_referred(own_home: Path) -> None:
    oil = {
        "at": "bench",
        "complaint": "oil in drops at the shaft, it squelches and has lost its damping",
        "answers": {"look_oil_slider": "drops"},
    }
    events, _ = events_of(oil, knowledge())
    whole = judge(Context().reasoner, Context().reasoner.view(fold(events)))
    put(own_home, "stages: [air_can_service, on_bike_hardware]\n")
    small = Context()
    judgement = judge(small.reasoner, small.reasoner.view(fold(events)))
    assert whole.stage.id in ("damper_service", "full_service")
    assert judgement.stage.id == "replace_or_refer"
    able = read_shop(own_home, knowledge()).able(knowledge())
    kept = {"no_service", "do_not_open", "replace_or_refer"}
    offered = {"air_can_service", "on_bike_hardware"}
    jobs = {job.id for job in knowledge().small_jobs.values() if job.stage in offered}
    assert able == kept | offered | jobs and "recharge" not in jobs


def test_a_fitting_that_the_shop_lacks_keeps_this_very_shock_shut(own_home: Path) -> None:
    put(own_home, "charge_fittings: [needle, schrader]\n")
    shop = read_shop(own_home, knowledge())
    for fitting, lacking in (("Needle, 2 mm", []), ("none", ["charge fitting: none"])):
        sheet = {"charge_fitting": fitting}
        assert shop.lacks(knowledge(), "full_service", sheet) == lacking
        assert shop.lacks(knowledge(), "air_can_service", sheet) == []
        assert list(shop.house(knowledge()).lacks("full_service", sheet)) == lacking
    assert shop.lacks(knowledge(), "full_service", {}) == [], "the sheet's own step asks for it"


def test_a_shop_may_do_without_approvals(own_home: Path) -> None:
    assert read_shop(own_home, knowledge()).house(knowledge()).asks
    put(own_home, "approvals: false\n")
    assert not read_shop(own_home, knowledge()).house(knowledge()).asks


@pytest.mark.parametrize(
    ("text", "line", "said"),
    [
        ("approvals: sometimes\n", 1, "approvals"),
        ("charge_fittings: needle\n", 1, "charge_fittings"),
        ("name: X\nmony: {}\n", 2, "money"),
        ("equipment: [shock_pump, soft_jawz]\n", 1, "soft_jaws"),
        ("stages:\n- no_service\n- air_service\n", 3, "air_can_service"),
        ("people:\n  AB: [counter, gas]\n", 2, "charge"),
        ("people:\n  AB: [counter]\n", 1, "nobody may supervise"),
        ("money:\n  rate_per_minute: 0\n", 2, "greater than 0"),
        ("money: {rate: 2}\n", 1, "rate_per_minute"),
        ("service_hours:\n  oil: 50\n", 2, "Use air or full"),
        ("- a list\n", 1, "mapping"),
        ("name: [\n", 2, "not YAML"),
    ],
)
def test_a_wrong_file_is_refused_with_its_line(
    at_shop: Run, own_home: Path, text: str, line: int, said: str
) -> None:
    put(own_home, text)
    done = at_shop("shop", "check")
    assert done.status == 1
    assert f"{SHOP_FILE}:{line}:" in done.out
    assert said in done.out
    with pytest.raises(InputError):
        read_shop(own_home, knowledge())


def test_the_check_names_every_problem_and_passes_a_whole_file(
    at_shop: Run, own_home: Path
) -> None:
    put(own_home, "mony: 1\nstags: 2\n")
    assert len(at_shop("shop", "check").out.splitlines()) == 2
    put(own_home, WHOLE)
    assert at_shop("shop", "check").out == "no problems\n"
    body = json.loads(at_shop("shop", "show", "--json").out)
    assert body["cannot"]["full_service"] == ["it is not offered"]
    shown = " ".join(at_shop("shop", "show").out.split())
    assert "AB: air_side, counter" in shown
    assert "rate per minute 2.5" in shown and "interruption bench" in shown
    assert "patience in questions: 4 at the counter, 9 at the bench" in shown


def test_what_is_waited_for_and_what_fits_is_shown(run: Run, own_home: Path) -> None:
    assert "waits for the customer's word: every stage" in run("shop", "show").out
    put(own_home, "approvals: false\ncharge_fittings: [needle]\n")
    shown = run("shop", "show").out
    assert "waits for the customer's word: only what was asked about" in shown
    assert "charge fittings: needle" in shown


def test_a_data_sheet_is_written_shown_and_put_to_a_job(at_shop: Run, job: str) -> None:
    assert at_shop("sheet", "set", "trail-55", "charge_psi", "17 bar").status == 0
    assert at_shop("sheet", "set", "trail-55", "charge_fitting", "yes: needle").status == 0
    values = json.loads(at_shop("sheet", "show", "trail-55", "--json").out)
    assert values["charge_psi"] == pytest.approx(246.6, abs=0.1)  # 17 x 14.5038
    assert (values["charge_fitting"], values["ifp_depth_mm"]) == ("yes: needle", None)
    assert "ifp_depth_mm: ______" in at_shop("sheet", "show", "trail-55").out
    assert at_shop("sheet", "use", job, "trail-55").status == 0
    shock = json.loads(at_shop("jobs", "show", job, "--json").out)["shock"]
    assert shock["sheet"] == "trail-55"
    assert json.loads(at_shop("sheet", "list", "--json").out)["trail-55"]["values"] == 2


def test_a_job_keeps_the_values_it_was_given(at_shop: Run, job: str) -> None:
    at_shop("sheet", "set", "trail-55", "stroke_mm", "55 mm")
    at_shop("sheet", "use", job, "trail-55")
    at_shop("sheet", "set", "trail-55", "stroke_mm", "50 mm")
    shock = json.loads(at_shop("jobs", "show", job, "--json").out)["shock"]
    assert shock["sheet_values"]["stroke_mm"] == 55.0


def test_a_sheet_of_another_pack_is_said_and_hides_no_other(at_shop: Run) -> None:
    coil = ("--pack", "rear_coil_shock")
    assert at_shop("sheet", "set", "trail-55", "stroke_mm", "55 mm").status == 0
    assert at_shop("sheet", "set", "coil-65", "preload_turns", "1 to 3", *coil).status == 0
    listed = json.loads(at_shop("sheet", "list", "--json").out)
    assert listed["trail-55"]["values"] == 1
    assert "preload_turns" in listed["coil-65"]["problem"]
    assert "trail-55: 1 of" in at_shop("sheet", "list", *coil).out


@pytest.mark.parametrize("name", ["../shop", "A", "", "a/b", "x" * 99])
def test_a_sheet_stays_in_its_folder(at_shop: Run, own_home: Path, name: str) -> None:
    assert at_shop("sheet", "set", name, "notes", "x").status == 1
    assert not list(own_home.rglob("*.yaml"))


def test_a_wrong_value_in_a_sheet_names_its_line(at_shop: Run, own_home: Path) -> None:
    (own_home / "sheets").mkdir()
    (own_home / "sheets" / "a.yaml").write_text("stroke_mm: 55\ncharge_psi: plenty\n", "utf-8")
    done = at_shop("sheet", "show", "a")
    assert done.status == 1
    assert "a.yaml:2" in done.err


def test_the_day_is_said_in_the_call_and_promised_with_the_yes(
    run: Run, own_home: Path, tmp_path: Path
) -> None:
    put(own_home, "ready_in_days: 2\nclosed_on: [saturday, sunday]\n")
    assert "2 working days later, closed on saturday, sunday" in run("shop", "show").out
    told = [{"text": "it loses air overnight"}, {"command": "book"}, {"answer": "agree"}]
    given = "".join(json.dumps(line) + "\n" for line in [*told, {"command": "leave"}])
    out = run("counter", "--json-lines", given=given).out
    prompts = [json.loads(line) for line in out.splitlines()]
    texts = [prompt.get("text", "") for prompt in prompts]
    assert any("Ready " in text and "if agreed now" in text for text in texts), texts
    assert any("Promised for " in text for text in texts), "said again once it is agreed"
    job = prompts[-1]["job"]
    assert "promised for" in run("jobs", "ticket", job).out
    assert "promised for" in run("jobs", "queue").out


def test_no_day_is_named_where_the_shop_names_none(run: Run, own_home: Path) -> None:
    told = [{"text": "it loses air overnight"}, {"command": "book"}, {"command": "leave"}]
    given = "".join(json.dumps(line) + "\n" for line in told)
    assert "Ready " not in run("counter", "--json-lines", given=given).out


@pytest.mark.parametrize("text", ["ready_in_days: -1\n", "closed_on: [someday]\n"])
def test_a_day_that_cannot_be_is_named_with_its_line(run: Run, own_home: Path, text: str) -> None:
    put(own_home, text)
    done = run("shop", "check")
    assert done.status == 1 and text.partition(":")[0] in done.out
