"""An accessibility check of an open page: language, names, headings, pictures, contrast, size of targets, focus.

After WCAG 2.2 (W3C Recommendation, 5 October 2023): 1.1.1 text alternatives, 1.3.1 headings, 1.4.3 contrast 4.5 to 1
(3 to 1 for large text), 1.4.10 no scrolling in two ways at 320 to 390 px, 2.4.7 focus visible, 2.5.5 targets of 44 px,
3.1.1 language, 4.1.2 names. The formula of contrast is that of the Recommendation ("relative luminance").
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

LEAST_PX = 44

_CHECK = Path(__file__).with_name("accessible.js").read_text(encoding="utf-8")

_RING = """
() => {
  const one = document.activeElement, look = getComputedStyle(one);
  const name = (one.getAttribute("aria-label") || one.textContent || "").trim().slice(0, 30);
  return [one.tagName + "#" + one.id + " " + name, look.outlineStyle !== "none" && parseFloat(look.outlineWidth) >= 2];
}
"""


def faults_of(page: Any) -> list[str]:
    """What is wrong on the page as it stands, one line each."""
    found: list[str] = page.evaluate(_CHECK, LEAST_PX)
    return found


def without_ring(page: Any, stops: int) -> list[str]:
    """Controls that show nothing when the keyboard reaches them, of the first so many."""
    found = []
    for _ in range(stops):
        page.keyboard.press("Tab")
        name, ring = page.evaluate(_RING)
        if not ring and not name.startswith("BODY"):
            found.append(name)
    return found
