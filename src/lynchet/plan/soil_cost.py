"""What carting the soil away costs, added to what the earth stage says of it: one finding, not two."""

from __future__ import annotations

from dataclasses import replace

from lynchet.core.findings import Verdict
from lynchet.earth.model import Earth
from lynchet.works.model import Works

CODE = "earth.pushed_out"


def with_soil_cost(moved: Earth, worked: Works) -> Earth:
    """The earth stage's results with the price of the loads in the finding on soil left over.

    Unchanged where no load goes away, or so little that the finding only informs and no price is known.
    """
    line = next((line for line in worked.order if line.key == "load_away"), None)
    if line is None:
        return moved
    if line.money is None:
        cost = " It has no price yet: ask for one before you quote."
    else:
        price = worked.price
        share = f", {100 * line.money / price.direct.likely:.0f} % of all that is priced" if price.direct else ""
        cost = f" It costs {line.money:,.0f}{' ' + price.currency if price.currency else ''}{share}."

    def told(words: str, verdict: Verdict) -> str:
        return words if line.money is None and verdict is Verdict.OK else words + cost

    found = tuple(
        replace(finding, text=told(finding.text, finding.verdict)) if finding.code == CODE else finding
        for finding in moved.findings
    )
    return replace(moved, findings=found)
