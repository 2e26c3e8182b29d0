"""What a day is told of the stone round cut-off drains: where the trench is deeper, and how the stone is wrapped."""

from __future__ import annotations

from collections.abc import Iterator

from lynchet.drawings.day_amounts import stone_round
from lynchet.drawings.day_places import Naming
from lynchet.plan.day_parts import DayParts, Share
from lynchet.water.cut_off_stone import COVER_M
from lynchet.water.settings import Settings


def stone_sentences(named: Naming, today: DayParts, share: Share) -> Iterator[str]:
    """Of a share of the pipes of roofs and springs: with its trench, and on the day its stone is laid."""
    kind = share.task.kind
    if share.task.terrace or kind not in ("pipe trench", "drain"):
        return
    laid = {part.id for part in stone_round(named, today)} if kind == "drain" else None
    cuts = [cut for cut in named.plan.water.cut_offs
            if cut.stone and (laid is None or any(part.id in laid for part in cut.stone))]  # fmt: skip
    if cuts:
        runs = ", ".join(named.words("day.pipe_led", pipe=named.pipes[cut.id], long=named.long(cut.stone_length_m))
                         for cut in cuts)  # fmt: skip
        name = "cut_off_dig" if laid is None else "cut_off_lay"
        yield named.words(f"day.{name}", runs=runs, under=named.size(Settings.stone_under_m),
                          cover=named.digging(COVER_M))  # fmt: skip
