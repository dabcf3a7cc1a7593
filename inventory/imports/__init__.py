"""Importing a parts list as a builder keeps it: read, match columns, preview, import."""
