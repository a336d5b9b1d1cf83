"""The list of connections on the sheet: a row for each end, to work from at the bench and at the vehicle."""

from __future__ import annotations

from router.facts import connections_of
from router.model.plan import Plan
from router.sheet.markup import Html, element, joined, table
from router.tables import load_table


def connections_section(plan: Plan) -> Html:
    """Return every end of every conductor, what it is joined to and how."""
    rows = [
        (
            str(each.wire),
            f"{each.conductor} ({each.colour} {each.size})",
            each.joined_to,
            each.part,
            "; ".join(part for part in (each.cavity, each.seal) if part),
            each.strip,
            each.torque or "none",
            each.tool,
        )
        for each in connections_of(plan)
    ]
    heads = ("No.", "Conductor", "Joined to", "By", "Cavity, seal", "Strip", "Torque: see", "Tool")
    strip = load_table("connections")["strip"]
    note = (
        f"Strip lengths: {strip['source']}, {strip['status']}; what is on the terminal's pack goes before. "
        "Numbers are those of the circuit diagram; both labels of a conductor carry them."
    )
    caption = "Every end, in the order of the job; pull each crimp by hand"
    return joined([table(caption, heads, rows, (0,)), element("p", note, class_="soft")])
