"""A plan written as a folder: data, text, drawings. Nothing is left half written."""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from pathlib import Path

from lynchet.book.make import build_book
from lynchet.book.pdf import to_pdf
from lynchet.book.phone import to_phone
from lynchet.core.errors import NoRoomError
from lynchet.core.findings import Finding
from lynchet.drawings.sheets import drawn_sheets
from lynchet.exports.dxf import plan_dxf
from lynchet.exports.order_xlsx import order_xlsx
from lynchet.exports.plan_json import plan_json
from lynchet.plan.model import Plan

_MAYBE = ("order-list.xlsx", "plan.dxf")
"""Files that are not written where they are kept back."""


def write_folder(plan: Plan, findings: tuple[Finding, ...], text: Sequence[str], out: Path) -> list[Path]:
    """Write ``plan.json``, ``findings.txt``, the build book (PDF, and HTML for a phone) and the sheets not kept back.

    Everything is made first, in a folder beside; files of an earlier plan are replaced one by one, and sheets that are
    kept back now are taken away.

    Raises:
        NoRoomError: the folder cannot be written; what stood there stands as it was.
    """
    sheets = drawn_sheets(plan)
    book = build_book(plan, sheets)
    files: dict[str, str | bytes] = {"plan.json": plan_json(plan, findings), "findings.txt": "\n".join(text) + "\n"}
    files |= {f"{one.name}.svg": one.svg() for one in sheets}
    if not {"all", "order-list"} & plan.withheld.keys():
        files["order-list.xlsx"] = order_xlsx(plan.works, plan.project.name or "Plan")
    if "all" not in plan.withheld:
        views = next(one.sheet.views for one in sheets if one.name == "terraces")
        files["plan.dxf"] = plan_dxf(plan, views[0])
    files |= {"build-book.pdf": to_pdf(book), "build-book.html": to_phone(book)}
    try:
        out.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(dir=out, prefix=".making-") as making:
            for name, content in files.items():
                data = content if isinstance(content, bytes) else content.encode("utf-8")
                (Path(making) / name).write_bytes(data)
            for old in (*out.glob("*.svg"), *(out / name for name in _MAYBE if (out / name).exists())):
                if old.name not in files:
                    old.unlink()
            for name in files:
                (Path(making) / name).replace(out / name)
    except OSError as error:
        raise NoRoomError(f"{out} cannot be written: {error.strerror}") from None
    return [out / name for name in files]
