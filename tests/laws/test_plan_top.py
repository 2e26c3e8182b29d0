"""Laws of the few findings told first: the worst place leads its cause, and a wall that gives way is never left out."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np

from lynchet.core.findings import Finding, Verdict
from lynchet.plan.model import Plan

CAUSES = tuple(f"stability.wall.{what}" for what in ("sliding", "overturning", "bearing")) + tuple(
    f"{room}.{what}" for room in ("water", "earth", "works", "planting") for what in ("a", "b", "c")
)
RATIOS = (None, 0.4, 0.73, 0.99, 1.0, 1.12, 1.4)
Told = tuple[tuple[Finding, int], ...]


def _drawn(rng: np.random.Generator) -> tuple[Finding, ...]:
    """Findings of many causes, in no order but that of verdicts, as a plan has them."""
    found = []
    for place in range(int(rng.integers(0, 30))):
        cause = CAUSES[rng.integers(len(CAUSES))]
        verdict, ratio = Verdict(int(rng.integers(4))), RATIOS[rng.integers(len(RATIOS))]
        code = cause.rpartition(".")[0] if cause.startswith("stability") else cause
        found.append(Finding(code, verdict, "", f"W{place}", ratio=ratio, cause=cause))
    return tuple(sorted(found, key=lambda one: -int(one.verdict)))


def _top(findings: tuple[Finding, ...]) -> Told:
    own: Any = Plan.top.fget  # type: ignore[attr-defined]
    told: Told = own(SimpleNamespace(findings=findings))
    return told


def _gives_way(one: Finding) -> bool:
    return one.verdict > Verdict.OK and one.code.startswith("stability.") and one.ratio is not None and one.ratio < 1.0


def test_the_told_place_of_a_cause_has_the_least_factor_of_its_verdict() -> None:
    """Of the places of a cause with its worst verdict none has a smaller factor than the one told; all are counted."""
    rng = np.random.default_rng(3)
    for _ in range(300):
        findings = _drawn(rng)
        for leader, count in _top(findings):
            group = [one for one in findings if one.cause == leader.cause and one.verdict > Verdict.OK]
            alike = [one.ratio for one in group if one.verdict is max(one.verdict for one in group)]
            least = min((ratio for ratio in alike if ratio is not None), default=None)
            assert count == len(group) and leader.verdict is group[0].verdict and leader.ratio == least


def test_a_wall_that_gives_way_by_the_sum_is_among_the_first() -> None:
    """Unless five causes stop, each cause whose worst place holds less than pushes is told, before others of its
    verdict, the worst of them first."""
    rng = np.random.default_rng(4)
    for _ in range(300):
        findings = _drawn(rng)
        top = [leader for leader, _ in _top(findings)]
        causes = {one.cause for one in findings if one.verdict > Verdict.OK}
        verdicts = {cause: max(one.verdict for one in findings if one.cause == cause) for cause in causes}
        assert len(top) == min(5, len(causes)) == len({one.cause for one in top})
        assert [one.verdict for one in top] == sorted((one.verdict for one in top), reverse=True)
        stops = sum(verdict is Verdict.STOP for verdict in verdicts.values())
        assert sum(one.verdict is Verdict.STOP for one in top) == min(5, stops)
        for cause in causes:
            weak = [
                one for one in findings if one.cause == cause and one.verdict is verdicts[cause] and _gives_way(one)
            ]
            assert stops + len(causes & set(CAUSES[:3])) > 5 or not weak or cause in {one.cause for one in top}
        for verdict in Verdict:
            falls = [one.ratio if _gives_way(one) else 9.0 for one in top if one.verdict is verdict]
            assert falls == sorted(falls)  # type: ignore[type-var]
