"""English words that are said of anything: they carry no complaint by themselves."""

from __future__ import annotations

__all__ = ["DULL", "HEDGES", "LITTLE"]


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


# Said of anything: they help a reading but hardly carry one.
DULL = _words(
    """
    say says said saying now even one thing things something anything everything think thought know
    go goes went going gone make makes made let lets put take takes took give gives look looks
    looked see seen need needs want wants time times way people someone somebody bike day today
    yesterday year years ago again always never ever still only yet more any too again mean other
    another same new old good great nice bad wrong start starts started began back use uses used
    last first next after since before when some from max
    """
)

# The sentence says less than that it is so: asked, supposed, or somebody else's word.
HEDGES = _words(
    "if maybe perhaps might could possibly probably apparently supposedly wonder wondering guess "
    "suspect reckon reckons says said thinks would"
)

# Little words: by themselves they quote nobody.
LITTLE = _words(
    """
    a an the and but or so as at by for from in into of off on out over to up down with it its i me
    my mine you your he his him she her we us our they them their that this these those there here
    is are was were am be been being do does did done have has had will would can could if when then
    than now not no just all . , ; : ! ? ' " - ( ) s t m re ve ll d
    """
)
