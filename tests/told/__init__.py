"""What every output of a plan says, read back from the output itself, and whether they all say the same."""
