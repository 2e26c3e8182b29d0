"""The registry of published formulas: list, check, run, show the working, verify."""
