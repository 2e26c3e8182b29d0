"""What the lowest course lies on."""

from __future__ import annotations

STONE_BED_M = 0.15
"""Compacted stone under the lowest course. PRACTICE (6 in)."""
