"""The edge between SI inside and the units people write and read."""
