"""Named schemes of one yard, planned by the same pipeline and set side by side."""
