"""The pipeline, the plan it gives, placed things and the clash check."""
