"""What the office keeps of a job and its bike, beside the shock; no belief rests on it."""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel, ConfigDict

__all__ = ["OFFICE_FIELDS", "Facts"]


class Facts(BaseModel):
    """Facts by name; None: nothing was said of it.

    Attributes
    ----------
    tag, bike, customer : as the shop marks them. accessories : left with it. marks : scratches and
    dents as it came.
    comeback_of : the job that it came back from. same_bike : jobs of the same bike.
    sheet, sheet_values : the shop's data sheet that was put to the job, and its values then.
    parts_cost : what went into it [currency]. as_left : what -> setting, as it was given back.
    not_cured : how often its test did not pass.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    tag: str | None = None
    bike: str | None = None
    customer: str | None = None
    accessories: list[str] | None = None
    marks: str | None = None
    comeback_of: str | None = None
    same_bike: list[str] | None = None
    sheet: str | None = None
    sheet_values: dict[str, float | str] | None = None
    parts_cost: float | None = None
    as_left: dict[str, str] | None = None
    not_cured: int | None = None

    def known(self) -> dict[str, Any]:
        """The facts that were said, by name.

        >>> Facts(tag="31").known()
        {'tag': '31'}
        """
        return {name: value for name, value in self if value is not None}


#: names of facts that older versions kept among the fields of the shock
OFFICE_FIELDS = frozenset(Facts.model_fields)
