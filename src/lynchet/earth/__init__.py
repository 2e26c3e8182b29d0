"""Cut, fill and the soil account."""
