"""Kinds of values, used in signatures so that ranges live in the types.

The markers of ``annotated_types`` (``Gt``, ``Ge``, ``Lt``, ``Le``, ``Len``) carry the ranges; they are light
to import and the checker in ``calculators`` reads them. Write ``Annotated[float, Ge(0), Le(50)]`` or use a name
from here.
"""

from __future__ import annotations

from typing import Annotated, Any

from annotated_types import Ge, Gt, Le, Len


class ByValue:
    """Marks an integer that may be written as a whole float (3.0), but never as a flag."""

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> Any:
        """Hook of pydantic, called only when a checker is built."""
        from pydantic_core import PydanticKnownError, core_schema

        def whole(value: Any) -> Any:
            if isinstance(value, bool):  # a literal 1 would take True for itself
                raise PydanticKnownError("int_type")
            return int(value) if isinstance(value, float) and value.is_integer() else value

        return core_schema.no_info_before_validator_function(whole, handler(source))


class Words:
    """Marks words a person should read in an error instead of the key: ``Annotated[float, Words("piece length")]``."""

    def __init__(self, text: str) -> None:
        self.text = text


Whole = Annotated[int, ByValue()]
Positive = Annotated[float, Gt(0)]
NotNegative = Annotated[float, Ge(0)]
Fraction = Annotated[float, Ge(0), Le(1)]
Count = Annotated[int, ByValue(), Ge(1)]
XY = Annotated[list[float], Len(2, 2)]
"""A point [x, y] in metres."""
