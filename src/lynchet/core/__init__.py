"""Findings, errors, value kinds, the calculator declaration, plane geometry: what every room may use."""
