"""A sheet as lines of text, for tests and for people who compare two plans: what is shown, in words and numbers.

One line per model item: "layer | kind | id | words | numbers", sorted; then one line per label with the place it got.
"""

from __future__ import annotations

from collections.abc import Iterable

from lynchet.drawings.display import Display
from lynchet.drawings.model import Area, Dim, Item, Label, Leader, Level, Line, ScaleBar, Sheet, Symbol, Text


def dump(sheet: Sheet, display: Display | None = None) -> str:
    """The text dump of a sheet; with its display list, also where each label stands."""
    fields = sheet.fields
    head = [
        f"sheet | {sheet.id} | {fields.title} | {fields.scale} | {sheet.paper.name} | {fields.units} | "
        f"{fields.number} of {fields.of} | issue {fields.issue}"
    ]
    head += [f"view | {view.id} | {view.kind} | {view.title} | 1 : {view.scale}" for view in sheet.views]
    items = [item for view in sheet.views for item in view.items] + list(sheet.marks)
    rows = sorted(_row(item) for item in items)
    labels = sorted(
        f"label | {one.id} | {one.text} | ring {one.ring} | cost {one.cost:.2f} | crosses {one.crossings}"
        for one in (display.labels if display else ())
    )
    return "\n".join([*head, *rows, *labels]) + "\n"


def _row(item: Item) -> str:
    words, numbers = _said(item)
    figures = " ".join(f"{value + 0.0:.2f}" for value in numbers)
    return f"{item.layer} | {type(item).__name__.lower()} | {item.id} | {words} | {figures}"


def _said(item: Item) -> tuple[str, Iterable[float]]:
    if isinstance(item, Line):
        return f"{item.pen} {item.dash} {item.role}", (value for point in item.pts for value in point)
    if isinstance(item, Area):
        return f"{item.fill} {item.hatch}".strip(), (value for point in item.rings[0] for value in point)
    if isinstance(item, Text):
        return item.text, item.at
    if isinstance(item, Label):
        return " / ".join(item.lines), item.anchor[0]
    if isinstance(item, Dim):
        return " ".join(item.texts), item.values_m
    if isinstance(item, Level):
        return f"{item.kind} {item.text}", (*item.at, item.value_m)
    if isinstance(item, Symbol):
        return f"{item.name} {item.text}".strip(), item.at
    if isinstance(item, Leader):
        return "", (*item.start, *item.end)
    if isinstance(item, ScaleBar):
        return " ".join(item.figures), (float(item.scale), item.step_m)
    raise TypeError(type(item).__name__)
