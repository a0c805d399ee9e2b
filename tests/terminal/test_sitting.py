"""Before the first case of all: the device cut open, whole on the screens that people have."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from diagnose.pictures.cross_section_text import section_text
from diagnose.terminal.sitting import first_look
from tests.real_pack import PACKS, pack_knowledge
from tests.terminal.conftest import Typist


@pytest.mark.parametrize("pack", PACKS)
@pytest.mark.parametrize("size", [(80, 24), (40, 23)])
def test_the_drawing_stands_whole_on_one_page(
    typist: Callable[..., Typist], pack: str, size: tuple[int, int]
) -> None:
    knowledge = pack_knowledge(pack)
    assert knowledge.drawing is not None
    section = knowledge.drawing.section(knowledge.device)
    door = typist(size, ["\r", "5"])
    first_look(door, knowledge)
    first, second = door.views[:2]
    drawn = section_text(section, size[0])[: 1 + len(section.rows)]
    assert [line.rstrip() for line in drawn] == [line for line in first if line in drawn]
    assert any("diagnose knowledge" in line for line in (*first, *second))
