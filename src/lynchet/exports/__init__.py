"""What leaves the program: the plan as data."""
