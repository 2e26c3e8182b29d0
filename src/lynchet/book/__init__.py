"""The build book: one content model, written as PDF for the desk and as one file for a phone with no signal."""
