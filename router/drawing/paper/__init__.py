"""The paper: pen, inks, letters, and how the vehicle lies on it."""
