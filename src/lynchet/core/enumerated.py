"""Names in a row, as one says them."""

from __future__ import annotations

from collections.abc import Sequence


def enumerated(names: Sequence[str]) -> str:
    """ "A0", "A0 and W2", "A0, A1 and W2".

    Args:
        names: one at least.
    """
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
