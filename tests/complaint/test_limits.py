"""Numbers of a text against the maximum that it names."""

from __future__ import annotations

import pytest

from diagnose.complaint.limits import against_limit
from tests.real_pack import shop_knowledge

WORDS = shop_knowledge().lexicon


@pytest.mark.parametrize(
    ("text", "over"),
    [
        ("put 340 in and it says max 300", True),
        ("sticker says 300 psi maximum, pumped it to 320", True),
        ("345 psi in it, label on the can reads 325", True),
        ("at 295 of max 300, 105 kilos, sag is right", False),
        ("put 240 in by mistake instead of 140, max 325 says the label", False),
        ("max 300 and I am at 300", False),
        ("it is 210 mm long and the max is 300", None),
        ("pumped it to 250", None),
        ("loses air overnight", None),
        ("max 10 psi a week", None),
        ("put 160 like the sticker, bounced it, 120!! 160 again", None),
    ],
)
def test_the_larger_number_is_over_or_not(text: str, over: bool | None) -> None:
    found = against_limit(text, WORDS.limit_words, WORDS.not_set)
    assert (None if found is None else found.over) == over
