"""One sheet model and thin writers."""
