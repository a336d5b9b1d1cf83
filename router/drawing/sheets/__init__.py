"""The sheets of a map: bands, tiles, legend, title."""
