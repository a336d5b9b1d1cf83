"""YAML as it is read: strict, with the place of every value."""
