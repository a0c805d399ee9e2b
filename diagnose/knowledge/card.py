"""What every knowledge card is made of: ids, texts, and no field that nobody reads."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

__all__ = ["Card", "Id", "Text"]

Id = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]*$", max_length=60)]
Text = Annotated[str, Field(min_length=1, max_length=2000)]


class Card(BaseModel):
    """Base of all cards: closed to unknown fields and to values of another type, frozen."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)
