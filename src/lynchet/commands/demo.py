"""``make demo``: plan a bundled yard into ``build/demo`` and print a short summary."""

from __future__ import annotations

import sys
from importlib.resources import as_file, files
from pathlib import Path

from lynchet.commands.plan import PlanOptions, run
from lynchet.core.errors import NoRoomError

DEMO = "side_yard.toml"


def main() -> int:
    """Plan the first demo."""
    out = Path("build") / "demo"
    with as_file(files("lynchet.demos")) as folder:
        try:
            status = run(PlanOptions(Path(folder) / DEMO, out), print, _note)
        except NoRoomError as error:
            _note(str(error))
            return 2
    print(f"\nThe plan lies in {out}: open terraces.svg; findings.txt has everything in words.")
    return status


def _note(text: str) -> None:
    print(text, file=sys.stderr, flush=True)


if __name__ == "__main__":
    sys.exit(main())
