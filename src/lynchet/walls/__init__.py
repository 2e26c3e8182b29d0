"""Built geometry of the walls: legs, footing steps, nodes, courses, pieces, setting-out."""
