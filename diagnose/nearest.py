"""What somebody may have meant who wrote a name that there is not: one measure, one sentence."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

__all__ = ["meant", "nearest"]

#: likeness from which a name is worth showing, 1 for the same word: low enough that the first
#: third of a long name (rate for rate_per_minute) still finds it
_LIKE = 0.4

#: likeness from which a word is taken for the name: a slip of the finger
_SAME = 0.8


def nearest(
    word: str,
    names: Iterable[str],
    most: int = 3,
    *,
    written: Mapping[str, str] | None = None,
    otherwise: str | None = None,
) -> str:
    """A next step for somebody who wrote a name that there is not.

    Parameters
    ----------
    written : how a name is written where it is not as it stands.
    otherwise : the sentence where no name is like it; None: one with all names.

    >>> nearest("strok", ["stroke", "length"])
    'Nearest: stroke.'
    >>> nearest("xyz", ["stroke", "length"])
    'There are: stroke, length.'
    """
    from difflib import get_close_matches  # only a name that there is not pays for it

    known = list(dict.fromkeys(names))
    close = get_close_matches(word, known, n=most, cutoff=_LIKE)
    if not close and otherwise is not None:
        return otherwise
    said = dict.fromkeys((written or {}).get(name, name) for name in close or known)
    return f"{'Nearest' if close else 'There are'}: {', '.join(said)}."


def meant(word: str, names: Iterable[str]) -> str | None:
    """The name that a word is taken for where only a finger slipped; None: it is none of them.

    >>> meant("Lime scale", ["Limescale", "Heater"]), meant("Lid", ["Limescale"])
    ('Limescale', None)
    """
    from difflib import get_close_matches

    close = get_close_matches(word, list(names), n=1, cutoff=_SAME)
    return close[0] if close else None
