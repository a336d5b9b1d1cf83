"""Fleets: the same jobs on many vehicles, each different plan made once and kept."""
