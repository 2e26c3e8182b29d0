"""The parts of the book, one module each: plan in, blocks out."""
