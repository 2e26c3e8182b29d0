"""Yards to try: two invented ones, one from published spot levels."""
