"""Order of work, hours, price and readings of what was built."""
