"""The version, by itself, so that who needs only that does not ask at the door for programs."""

__version__ = "0.1.0"
