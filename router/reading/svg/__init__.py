"""Lines that somebody drew over a blank map."""
