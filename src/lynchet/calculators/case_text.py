"""The text of ``lynchet verify``: one line for each published case, and the sum of them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from typing import Any

from lynchet.calculators.verify import Checked, Line


def case_line(checked: Checked) -> str:
    """One case: outcome, id, calculator, ours against published with difference and tolerance, source, how known."""
    case = checked.case
    head = f"{checked.outcome:<7} {case.get('id', '(no id)')}  {case.get('calculator', '(no calculator)')}"
    compared = "; ".join(_line_text(line) for line in checked.lines)
    reason = f"{checked.reason}" if checked.reason else ""
    body = " | ".join(part for part in (compared, reason) if part)
    return f"{head}  {body} | {case.get('source', 'no source')} | {case.get('known', '?')}".replace("\n", " / ")


def _line_text(line: Line) -> str:
    if line.key == "refused":
        ok = "says" if line.ok else "does not say"
        return f'refused, {ok} "{line.published}": {line.ours}'
    mark = "" if line.ok else "  <-- differs"
    text = f"{line.key} ours {_short(line.ours)}, published {_short(line.published)}"
    if line.tolerance is not None and line.difference is not None:
        text += f", difference {line.difference:.3g}, tolerance {line.tolerance:.3g}"
    return text + mark


def _short(value: Any) -> str:
    if value is None:
        return "nothing"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float):
        return f"{value:.9g}"
    if isinstance(value, list):
        shown = ", ".join(_short(item) for item in value[:6])
        return f"[{shown}, ... {len(value)} in all]" if len(value) > 6 else f"[{shown}]"
    return str(value)


def summary_line(outcomes: Counter[str]) -> str:
    """`N passed, N failed, N missing`."""
    return ", ".join(f"{outcomes[name]} {name}" for name in ("passed", "failed", "missing"))


def counts(cases: Iterable[Checked]) -> Counter[str]:
    """How many of each outcome."""
    return Counter(checked.outcome for checked in cases)


def case_data(checked: Checked) -> dict[str, Any]:
    """One case as plain data for JSON."""
    case = checked.case
    return {
        "id": case.get("id", ""),
        "title": case.get("title", ""),
        "room": checked.room,
        "calculator": case.get("calculator", ""),
        "outcome": checked.outcome,
        "reason": checked.reason,
        "compared": [
            {
                "key": line.key,
                "ours": line.ours,
                "published": line.published,
                "difference": line.difference,
                "tolerance": line.tolerance,
                "ok": line.ok,
            }
            for line in checked.lines
        ],
        "source": case.get("source", ""),
        "known": case.get("known", ""),
    }
