"""Profiles."""
