"""Faces with finished levels, wall lines, the course lattice, flights of steps."""
