"""The command line: one command for each task."""
