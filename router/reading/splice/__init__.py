"""YAML that people wrote, changed in place: every comment and every other byte stays as it was."""
