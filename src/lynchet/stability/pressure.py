"""Lateral earth pressure coefficients."""
