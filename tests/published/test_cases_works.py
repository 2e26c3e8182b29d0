"""Every published case of the works room, each as its own test."""

import pytest

from lynchet.calculators.verify import read_cases, run_case, shipped

CASES = read_cases(shipped() / "works.toml")


@pytest.mark.parametrize("case", CASES, ids=[case["id"] for case in CASES])
def test_works_case(case):
    """The calculator gives what the source prints, within the stated tolerance, or refuses what must be refused."""
    done = run_case(case, "works")
    shown = "; ".join(f"{line.key}: {line.ours} against {line.published}" for line in done.lines if not line.ok)
    assert done.outcome == "passed", f"{done.reason} {shown}"
