"""Lynchet turns a sloping yard into a checked, buildable plan for level beds held by timber walls."""
