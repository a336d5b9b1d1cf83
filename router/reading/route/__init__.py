"""Routes: files, drawings, what was used."""
