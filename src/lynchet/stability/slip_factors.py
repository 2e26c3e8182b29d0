"""Factors of many circles by the quickest means there is: compiled code where numba can be had, arrays otherwise."""

from __future__ import annotations

from typing import Literal

from lynchet.stability.kinds import Array
from lynchet.stability.slices import OrdinaryForm
from lynchet.stability.slip_arcs import Arcs
from lynchet.stability.slip_section import Soil
from lynchet.stability.slip_slices import Method, factors_numpy

Engine = Literal["auto", "numba", "numpy"]


def factors(soil: Soil, arcs: Arcs, method: Method, form: OrdinaryForm, count: int, engine: Engine = "auto") -> Array:
    """As ``factors_numpy``, by compiled code where numba is there (or asked for)."""
    if engine != "numpy":
        try:
            from lynchet.stability.slip_compiled import factors_compiled
        except (ImportError, RuntimeError):  # no numba, or no folder it may keep its work in
            if engine == "numba":
                raise
        else:
            return factors_compiled(soil, arcs, method, form, count)
    return factors_numpy(soil, arcs, method, form, count)
