"""Training: routes broken in one known way, and the sheets that ask what is wrong with them."""
