"""The project file: schema, reading with all errors at once, defaults with their origin, edits."""
