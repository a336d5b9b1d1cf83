"""Which bodies a panel parts a loom from: none of them needs a clearance, but hot ones a lesser one."""

from __future__ import annotations

from router.model.practice import Practice
from router.model.vehicle import Hazard, KeepOut, Panel, Profile


def is_parted(profile: Profile, space: str, keep_out: KeepOut) -> bool:
    """Return whether a level panel parts looms of a space from a body wherever they are."""
    return any(
        _is_beyond(panel, profile.space(space).height_mm, space, keep_out)
        for panel in profile.panels
        if space in panel.between and panel.area is None and panel.height_mm is not None
    )


def required_beyond_mm(required_mm: float, keep_out: KeepOut, profile: Profile, practice: Practice) -> float:
    """Return how far a loom must stay from a body that a panel parts it from. [mm]

    Parameters
    ----------
    required_mm : float
        What it would have to be in the open.
    keep_out : KeepOut
    profile : Profile
        Its measuring tolerance.
    practice : Practice
        Group "clearance".
    """
    if keep_out.hazard is not Hazard.HOT:
        return 0.0
    return min(required_mm, practice.value("clearance", "hot beyond a panel") + profile.tolerance_mm)


def _is_beyond(panel: Panel, lying_mm: float, space: str, keep_out: KeepOut) -> bool:
    assert panel.height_mm is not None
    if keep_out.heights_mm is None:
        return keep_out.space != space and keep_out.space in panel.between
    low_mm, high_mm = keep_out.heights_mm
    return low_mm >= panel.height_mm if lying_mm < panel.height_mm else high_mm <= panel.height_mm
