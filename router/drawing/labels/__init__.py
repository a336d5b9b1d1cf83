"""Where labels go."""
