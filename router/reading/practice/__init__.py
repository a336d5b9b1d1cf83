"""Practice files."""
