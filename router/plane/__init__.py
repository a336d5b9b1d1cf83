"""Pure geometry in the plane: offsets never too small, meshes, lines of sight, bundles. No vehicle words."""

from router.plane.arrays import Flags, Floats, Geometries, Ints, end_to_end
from router.plane.mesh import (
    Mesh,
    build_mesh,
    faces_of,
    make_fans,
    mark_edge,
    split_edge,
    vertices_on,
)
from router.plane.near import core_of, distances_in_space, distances_to
from router.plane.offsets import grow_outside
from router.plane.packing import bundle_diameter_mm
from router.plane.panorama import Viewpoints, from_edges, from_fans, from_points, look_round, turned
from router.plane.sight import Seen, VisibilityIndex, look_from_fan, look_from_point, side, triangles_holding

__all__ = [
    "Flags",
    "Floats",
    "Geometries",
    "Ints",
    "Mesh",
    "Seen",
    "Viewpoints",
    "VisibilityIndex",
    "build_mesh",
    "bundle_diameter_mm",
    "core_of",
    "distances_in_space",
    "distances_to",
    "end_to_end",
    "faces_of",
    "from_edges",
    "from_fans",
    "from_points",
    "grow_outside",
    "look_from_fan",
    "look_from_point",
    "look_round",
    "make_fans",
    "mark_edge",
    "side",
    "split_edge",
    "triangles_holding",
    "turned",
    "vertices_on",
]
