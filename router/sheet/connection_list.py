"""The list of connections on the sheet: a row for each end, to work from at the bench and at the vehicle."""

from __future__ import annotations

from collections.abc import Iterator

from router.facts import capped_cores, connections_of
from router.model.plan import Plan
from router.sheet.markup import Html, element, joined, listed, table
from router.tables import load_table


def connections_section(plan: Plan) -> Html:
    """Return every end of every conductor, what it is joined to and how; then the tools, each once."""
    connections = connections_of(plan)
    tools = tuple(dict.fromkeys(each.tool for each in connections))
    names = {tool: f"T{number}" for number, tool in enumerate(tools, start=1)}
    rows = [
        (
            str(each.wire),
            f"{each.conductor} ({each.colour} {each.size})",
            each.joined_to,
            each.part,
            each.cavity or (f"torque: {each.torque}" if each.torque else ""),
            each.seal,
            each.strip,
            names[each.tool],
        )
        for each in connections
    ]
    heads = ("No.", "Conductor", "Joined to", "By", "Cavity, torque", "Seal", "Strip", "Tool")
    strip = load_table("connections")["strip"]
    note = (
        f"Strip lengths: {strip['source']}, {strip['status']}; what the terminal's maker says goes before. "
        "Numbers are those of the circuit diagram; write them on both labels of a conductor."
    )
    caption = "Every end, in the order of the job; pull each crimp by hand"
    used = listed((joined([element("b", names[tool]), tool], " ") for tool in tools), class_="plain columns")
    parts = [table(caption, heads, rows, (0,)), *_capped(plan), element("h3", "Tools"), used, _soft(note)]
    return joined(parts)


def _capped(plan: Plan) -> Iterator[Html]:
    """Yield the cores that are not used, and what is done with their ends."""
    rows = [(each.run, each.core, each.size, " and ".join(each.ends)) for each in capped_cores(plan)]
    if rows:
        caption = "Cores of the cable that are not used: both ends capped, laid back along the sheath"
        yield table(caption, ("Run", "Core", "Size", "Capped at"), rows)
        yield _soft(
            "Empty cavities of a sealed connector get blind plugs. A core that is used later is uncapped "
            "at both ends then, never at one alone."
        )


def _soft(words: str) -> Html:
    return element("p", words, class_="soft")
