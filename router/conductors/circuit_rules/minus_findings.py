"""What is to be asked of minuses: a new source whose own is left open, an earth on the battery's own post."""

from __future__ import annotations

from collections.abc import Iterator

from router.facts import Feed, Network, Node, Piece
from router.model.job import Job
from router.model.plan import Finding, FindingKind, Severity
from router.model.vehicle import Pole, Profile, Terminal, TerminalKind


def open_minus_findings(network: Network, job: Job, profile: Profile) -> Iterator[Finding]:
    """Yield a finding for each source besides the job's own to whose minus no conductor of the job leads.

    Where a load comes back to that minus, a finding on its way back says so.
    """
    known = {load.minus for load in network.loads}
    known |= {node for piece in network.pieces for node in (piece.start, piece.end)}
    for feed in network.feeds:
        minus = _own_minus(feed, job, profile)
        out = next((each for each in network.at(feed.plus) if not each.is_return), None)
        if minus is None or minus in known or out is None:
            continue
        yield Finding(
            FindingKind.NO_RETURN,
            Severity.SHOULD,
            out.run,
            None,
            f"nothing is joined to the minus of {feed.terminal}, and it feeds {out.conductor}",
            f'; add a conductor from {minus.terminal} to an earth that says "returns: {out.conductor}"; '
            "leave it so only where its minus is joined inside, to its case or to the minus of its input",
            "a way back to every source",
            "none in this job",
            None,
        )


def _own_minus(feed: Feed, job: Job, profile: Profile) -> Node | None:
    """Return the minus of a source that is no part of the vehicle's wiring, where it is known to have one."""
    own = next((each for each in profile.terminals if each.name == feed.terminal), None)
    is_asked = feed.is_source and feed.terminal != job.source.at
    if own is None or not is_asked or own.kind is TerminalKind.FUSE_BOX:
        return None
    if feed.minus.terminal:
        return feed.minus
    is_unit = own.studs is not None or (own.kind is TerminalKind.UNIT and own.pole is None)
    return Node(own.name, "minus") if is_unit else None


def earth_on_post_findings(network: Network, job: Job, profile: Profile) -> Iterator[Finding]:
    """Yield a finding for each conductor that brings current back to the post of the vehicle's own battery.

    A terminal on the body side of a battery sensor is an earth point or a stud, whatever it is called.
    """
    posts = {each.name for each in profile.terminals if _is_own_post(each, job, profile)}
    for piece in network.pieces:
        if piece.is_return and piece.end.terminal in posts:
            yield _on_post(piece, is_named=piece.end.terminal == job.source.negative_at)


def _is_own_post(terminal: Terminal, job: Job, profile: Profile) -> bool:
    if terminal.kind is not TerminalKind.BATTERY_POST or terminal.pole is not Pole.NEGATIVE:
        return False
    source = next((each for each in profile.terminals if each.name == job.source.at), None)
    is_of_source = terminal.unit is None or (source is not None and terminal.unit == source.unit)
    return is_of_source and not terminal.is_place


def _on_post(piece: Piece, *, is_named: bool) -> Finding:
    post = piece.end.terminal
    body = "end it on an earth point of the body"
    if is_named:
        body += (
            ", or on a stud on the body side of the battery sensor, measured as a terminal of kind: stud and "
            "named by negative-at"
        )
    return Finding(
        FindingKind.EARTH_ON_POST,
        Severity.SHOULD,
        piece.run,
        None,
        f"{piece.conductor} ends on {post}: a sensor on that post does not see what goes past it",
        f"; {body}",
        "earths on the body",
        "on the battery's own post",
        None,
    )
