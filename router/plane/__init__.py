"""Pure geometry in the plane: offsets that never come out small, meshes, lines of sight. No vehicle words."""
