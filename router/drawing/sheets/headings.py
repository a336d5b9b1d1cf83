"""What a map says of itself: heading, description, the rows of the title block."""

from __future__ import annotations

from router.drawing.paper.frame import Box, SeenFrom
from router.drawing.paper.pen import Pen
from router.drawing.sheets import title
from router.drawing.sheets.layout import Request
from router.facts import assumed_parts, measured_words
from router.model.vehicle import Profile


def draw_title_block(pen: Pen, request: Request, scale: float, number: int, sheets: int) -> None:
    """Draw the title block of one sheet, counted from 0."""
    kind = "question" if request.offered else "blank" if request.is_blank else "sheet"
    name = f"{kind} {number + 1} of {sheets}"
    block = title.TitleBlock(
        heading(request), _rows(request, scale), scale, request.seen_from, number + 1, name
    )
    inner = request.inner(number)
    width = min(inner.width, title.MOST_WIDTH_MM)
    foot = Box(inner.x, inner.bottom - title.TITLE_MM, width, title.TITLE_MM)
    title.draw_title_block(pen, block, foot)


def heading(request: Request) -> str:
    """Return the map's heading: what it is of."""
    if request.comparison:
        return f"What differs: {request.profile.name}"
    if request.judgement:
        return f"Review of {request.judgement.drawn.name}: {request.profile.name}"
    return f"{request.plan.job.name}: {request.profile.name}" if request.plan else request.profile.name


def description(request: Request, scale: float) -> str:
    """Return one paragraph that says what is drawn and how."""
    runs = (
        ", ".join(f"{run.name} from {run.start} to {run.end}" for run in request.plan.runs)
        if request.plan
        else "none"
    )
    view = f"Seen from {request.seen_from}, front at the left, scale 1:{scale:g} on {request.paper.name}."
    return f"{view} Runs: {runs}."


def _measured(profile: Profile) -> str:
    """Return how well the vehicle was measured; where much is only assumed, that in place of the day."""
    count = len(assumed_parts(profile))
    return f"{count} only assumed, rest to {profile.tolerance_mm:g} mm" if count else measured_words(profile)


def _rows(request: Request, scale: float) -> tuple[tuple[str, str], ...]:
    profile = request.profile
    mirrored = " (mirrored)" if request.seen_from is SeenFrom.BELOW else ""
    shared = (
        ("Revision", str(profile.revision)),
        ("Variant", profile.variant or "as first measured"),
        ("Measured", _measured(profile)),
        ("Scale", f"1:{scale:.4g} on {request.paper.name}"),
        ("Seen from", f"{request.seen_from}{mirrored}"),
    )
    if request.comparison:
        before = request.comparison.before
        variant = f", {before.variant}" if before.variant else ""
        name = "" if before.name == profile.name else f"{before.name}, "
        return (*shared, ("From", f"{name}revision {before.revision}{variant}"))
    if request.plan is None:
        return shared
    date = ("Date", request.date or title.TO_FILL_IN)
    loom = f"{request.plan.loom_diameter_mm:.1f} mm outside at most"
    judged = request.judgement
    of_it = ("Mark", f"{judged.mark} of 100") if judged else ("Plan no.", request.number)
    return (*shared, ("Practice", request.plan.practice.name), ("Loom", loom), of_it, date)
