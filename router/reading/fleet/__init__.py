"""Fleet files."""
