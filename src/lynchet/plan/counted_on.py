"""What the checks count on in timber that stands, of which the file has no record: its pins and ties."""

from __future__ import annotations

from collections.abc import Sequence

from lynchet.core.enumerated import enumerated
from lynchet.core.findings import Finding, Verdict
from lynchet.stability.model import Pin, Stability, Tie
from lynchet.timber.to_come import ties_to_come, to_drive
from lynchet.walls.model import Piece, Walls


def counted_on(built: Walls, pieces: Sequence[Piece], held: Stability) -> tuple[Finding, ...]:
    """One finding that tells base pins and ties in courses that stand, by wall; none where there are none."""
    if not built.standing.any_stands:
        return ()
    coming = {pin.id for pin in to_drive(built, pieces, held, held.pins)}
    coming |= {tie.id for tie in ties_to_come(built, held)}
    rows = [
        (what, [one for one in things if one.id not in coming])
        for what, things in (("base pin", held.pins), ("tie", held.ties))
    ]
    said = [_said(what, things) for what, things in rows if things]
    if not said:
        return ()
    first = next(things[0].leg for _, things in rows if things)
    text = (
        f"In what stands the plan counts on {' and '.join(said)}, as they are drawn. They are on no list and in no "
        "hours, and the file does not record them: look whether they are in, and where one is missing, ask an engineer."
    )
    return (Finding("standing.counted_on", Verdict.OK, text, first),)


def _said(what: str, things: Sequence[Pin | Tie]) -> str:
    """ "12 base pins (A0, W2)"."""
    legs = list(dict.fromkeys(one.leg for one in things))
    return f"{len(things)} {what}{'s' if len(things) > 1 else ''} ({enumerated(legs)})"
