"""A first look is quick because it loads no compiler: loading one takes longer than the whole look."""

from __future__ import annotations

import subprocess
import sys

_LOOK = """
import sys
from lynchet.commands.app import main
sys.argv = ["lynchet", "look", "--side-to-side", "20 ft", "--up-the-slope", "24 ft", "--drop", "3 ft"]
try:
    main()
finally:
    print("loaded:", *sorted({"numba", "llvmlite", "matplotlib", "pandas"} & sys.modules.keys()), "end")
"""


def test_a_first_look_loads_no_compiler() -> None:
    """The look of a yard as one types it ends well, and numba was not loaded on the way."""
    done = subprocess.run([sys.executable, "-c", _LOOK], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert "loaded: end" in done.stdout
