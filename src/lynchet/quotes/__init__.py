"""Quotes: what a job is offered for, and what stays with the firm."""
