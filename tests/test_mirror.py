"""Each module with logic is tested where one looks: in the file of its name, or where this says.

The list is short of nothing and holds nothing that has a file of its own by now; a file that is
named in it imports the module, or says in its first lines that it reaches it.
"""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

TOP = Path(__file__).resolve().parents[1]
ROOMS = TOP / "diagnose"

#: module -> file below tests/
TESTED_ELSEWHERE = {
    "cli.job_rows": "cli/test_queue.py",
    "cli.morning": "cli/test_queue.py",
    "conversation.end_record": "conversation/test_closing.py",
    "reasoning.evidence_words": "terminal/test_suspicion.py",
    "reasoning.coming_first": "reasoning/test_advice.py",
    "reasoning.open_options": "reasoning/test_advice.py",
    "reasoning.weighing": "reasoning/test_advice.py",
    "reasoning.prepared": "reasoning/test_belief.py",
    "reasoning.lines": "reasoning/test_judgement.py",
    "reasoning.said_stages": "reasoning/test_judgement.py",
    "reasoning.said_step": "reasoning/test_judgement.py",
    "reasoning.section_messages": "reasoning/test_judgement.py",
    "reasoning.surprise": "reasoning/test_judgement.py",
    "terminal.surface": "terminal/test_live.py",
    "belief.compiled": "belief/test_hypotheses.py",
    "belief.priors": "belief/test_network.py",
    "belief.structure": "belief/test_lattice.py",
    "belief.walk": "belief/test_lattice.py",
    "bench.air_formulas": "bench/test_formulas.py",
    "bench.formula": "bench/test_formulas.py",
    "bench.damper_formulas": "bench/test_formulas.py",
    "bench.gauges": "bench/test_second_gauge.py",
    "bench.given": "bench/test_measurable.py",
    "bench.length_readings": "bench/test_measurable.py",
    "bench.pressure_readings": "bench/test_measurable.py",
    "bench.sheet_fields": "bench/test_measurable.py",
    "bench.spring_formulas": "bench/test_formulas.py",
    "cli.card_numbers": "cli/test_instruments.py",
    "cli.checklist_comparison": "cli/test_instruments.py",
    "cli.context": "cli/test_shop.py",
    "cli.exchange": "cli/test_jobs.py",
    "cli.commands": "cli/test_main.py",
    "cli.data_sheets": "cli/test_shop.py",
    "cli.gate": "cli/test_knowledge.py",
    "cli.intake": "cli/test_handing_on.py",
    "cli.job_input": "cli/test_assess.py",
    "cli.learn": "cli/test_learning.py",
    "shop.learned_versions": "cli/test_learning.py",
    "cli.one_job": "cli/test_close.py",
    "cli.options": "cli/test_main.py",
    "cli.papers": "cli/test_jobs.py",
    "cli.progress": "cli/test_instruments.py",
    "lines.sitting": "cli/test_training.py",
    "shop.data_sheets": "cli/test_shop.py",
    "shop.settings": "cli/test_shop.py",
    "cli.report": "cli/test_learning.py",
    "cli.settings": "cli/test_shop.py",
    "cli.talk": "lines/test_conversation.py",
    "cli.training_cases": "cli/test_training.py",
    "cli.training_people": "cli/test_training.py",
    "cli.training_session": "cli/test_training.py",
    "cli.wrong_cards": "cli/test_instruments.py",
    "complaint.english": "complaint/test_recogniser.py",
    "errors": "knowledge/test_yaml_lines.py",
    "knowledge.cross_checks.__init__": "knowledge/test_cross_checks.py",
    "knowledge.cross_checks.bench": "knowledge/test_slips.py",
    "knowledge.cross_checks.causes": "knowledge/test_slips.py",
    "knowledge.cross_checks.common": "knowledge/test_slips.py",
    "knowledge.card": "knowledge/test_device.py",
    "knowledge.cross_checks.device": "knowledge/test_device.py",
    "knowledge.cross_checks.deeds": "knowledge/test_slips.py",
    "knowledge.cross_checks.drawing": "knowledge/test_drawing.py",
    "knowledge.cross_checks.findings": "knowledge/test_slips.py",
    "knowledge.cross_checks.frames": "knowledge/test_slips.py",
    "knowledge.cross_checks.names": "knowledge/test_slips.py",
    "knowledge.cross_checks.observers": "knowledge/test_slips.py",
    "knowledge.cross_checks.second_opinion": "knowledge/test_cross_checks.py",
    "knowledge.cross_checks.pack": "knowledge/test_slips.py",
    "knowledge.cross_checks.safety": "knowledge/test_slips.py",
    "knowledge.cross_checks.stages": "knowledge/test_slips.py",
    "knowledge.models": "knowledge/test_loader.py",
    "records.database": "records/test_layout.py",
    "reports.book_cards": "reports/test_book.py",
    "reports.book_drawing": "reports/test_book.py",
    "reports.book_links": "reports/test_lookalikes.py",
    "reports.book_overviews": "reports/test_book.py",
    "reports.debrief": "training/test_debrief.py",
    "reports.foreman_figures": "reports/test_foreman.py",
    "reports.referral": "cli/test_handing_on.py",
    "reports.sending": "reports/test_ticket.py",
    "reports.trainer_page": "training/test_debrief.py",
    "reports.wrapping": "reports/test_judgement_text.py",
    "conversation.answers": "job/test_gate.py",
    "conversation.awaiting": "conversation/test_second_reading.py",
    "job.card_fields": "knowledge/test_slips.py",
    "conversation.conversation": "job/test_gate.py",
    "conversation.endings": "job/test_agreement.py",
    "job.events": "job/test_state.py",
    "conversation.guarding": "job/test_gate.py",
    "job.facts": "job/test_old_events.py",
    "reasoning.chosen_sheet": "job/test_gate.py",
    "reasoning.over_maximum": "reasoning/test_floors.py",
    "reasoning.pricing": "job/test_agreement.py",
    "conversation.prompts": "conversation/test_understanding.py",
    "conversation.agreements": "cli/test_agreements.py",
    "conversation.handing_on": "cli/test_handing_on.py",
    "conversation.intake": "cli/test_handing_on.py",
    "conversation.questions": "conversation/test_look.py",
    "conversation.sheet_steps": "job/test_agreement.py",
    "job.ending": "conversation/test_closing.py",
    "reasoning.wording": "reports/test_judgement_text.py",
    "symptom_graph.gaps": "knowledge/test_slips.py",
    "terminal.batching": "terminal/test_bench_screens.py",
    "terminal.choosing": "terminal/test_talk.py",
    "terminal.door": "terminal/test_screens.py",
    "terminal.live_key": "terminal/test_live.py",
    "terminal.live_line": "terminal/test_live.py",
    "terminal.loop": "terminal/test_talk.py",
    "terminal.opening": "terminal/test_signals.py",
    "terminal.parts": "terminal/test_screens.py",
    "terminal.plain": "terminal/test_talk.py",
    "terminal.quiet": "terminal/test_signals.py",
    "terminal.readings": "terminal/test_bench_screens.py",
    "terminal.running": "terminal/test_live.py",
    "terminal.safety": "terminal/test_talk.py",
    "terminal.styles": "terminal/test_screens.py",
    "terminal.transcript": "terminal/test_talk.py",
    "terminal.verdict": "terminal/test_talk.py",
    "terminal.words": "terminal/test_talk.py",
    "training.apprentices": "training/test_exercise.py",
    "training.calling": "training/test_exercise.py",
    "training.consequences": "training/test_exercise.py",
    "training.group": "cli/test_training_group.py",
    "training.hints": "training/test_exercise.py",
    "training.menu": "training/test_showing.py",
    "training.mistaken_cause": "training/test_debrief.py",
    "training.scenario": "training/test_answers.py",
}


def has_logic(source: Path) -> bool:
    """Whether a function or a class is defined there."""
    body = ast.parse(source.read_text("utf-8")).body
    return any(isinstance(node, ast.FunctionDef | ast.ClassDef) for node in body)


def dotted(source: Path) -> str:
    """``session.gate`` for diagnose/job/gate.py."""
    return ".".join(source.relative_to(ROOMS).with_suffix("").parts)


MODULES = {dotted(source): source for source in sorted(ROOMS.rglob("*.py")) if has_logic(source)}


def own_file(module: str) -> Path:
    """Where a test of this module is looked for first."""
    *room, name = module.split(".")
    return TOP.joinpath("tests", *room, f"test_{name}.py")


def speaks_of(text: str, module: str) -> bool:
    """Whether a test's text imports the module, or names it in its docstring."""
    *room, name = module.split(".")
    imported = f"from {'.'.join(['diagnose', *room])} import [^\n]*\\b{name}\\b"
    loaded = rf"(from|import) diagnose\.{re.escape(module)}\b"
    said = ast.get_docstring(ast.parse(text)) or ""
    return bool(re.search(f"{imported}|{loaded}", text)) or module in re.findall(r"[\w.]*\w", said)


@pytest.mark.parametrize("module", MODULES)
def test_each_module_is_tested_where_one_looks(module: str) -> None:
    own, elsewhere = own_file(module), TESTED_ELSEWHERE.get(module)
    if own.exists():
        assert elsewhere is None, f"{module} has {own.name}: take it off TESTED_ELSEWHERE"
        return
    assert elsewhere, (
        f"{module}: test it in {own.relative_to(TOP)}, or say in TESTED_ELSEWHERE where it is"
    )
    file = TOP / "tests" / elsewhere
    assert file.is_file(), f"{module}: there is no tests/{elsewhere}"
    assert speaks_of(file.read_text("utf-8"), module), (
        f"tests/{elsewhere} neither imports {module} nor names it in its docstring"
    )


def test_the_list_names_modules_that_are_there() -> None:
    assert set(TESTED_ELSEWHERE) <= set(MODULES), "take these off TESTED_ELSEWHERE"


def test_a_module_is_spoken_of_by_import_or_by_name() -> None:
    assert speaks_of("from diagnose.bench.gas import pressure", "bench.gas")
    assert speaks_of("from diagnose.bench import gas, leak", "bench.leak")
    assert speaks_of('"""Papers; reaches cli.papers too."""', "cli.papers")
    assert not speaks_of('"""Papers; reaches cli.papers too."""', "cli.paper")
    assert not speaks_of("from diagnose.bench.gas_laws import pressure", "bench.gas")
    assert not speaks_of("reached = 'cli.papers'", "cli.papers")


def test_each_test_file_stands_in_a_room() -> None:
    # attacks on the whole program, the tools that measure it and what hearing is trained on belong
    # to no single room
    across = {"safety", "benchmarks", "hearing"}
    for path in sorted((TOP / "tests").glob("*/**/test_*.py")):
        room = path.parent.relative_to(TOP / "tests")
        assert str(room) in across or (ROOMS / room).is_dir(), f"{path}: there is no room {room}"
