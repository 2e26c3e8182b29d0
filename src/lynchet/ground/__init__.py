"""Readings to a measured surface: level books, points, triangles, trust."""
