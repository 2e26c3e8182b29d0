"""Where the water goes: catchments, drains, outlets, notches, the level water stands at."""
