"""What the symbols of a circuit diagram mean: those that it uses, at its end."""

from __future__ import annotations

from collections.abc import Iterator

from router.drawing.diagram import circuit_symbols as symbols
from router.drawing.diagram.circuit_points import Circuit, Symbol
from router.drawing.diagram.diagram_layout import LEGEND_LINE_MM, NOTE_MM, DiagramLayout
from router.drawing.diagram.end_words import LINE_MM, fuse_at
from router.drawing.paper import inks
from router.drawing.paper.letters import wrap
from router.drawing.paper.pen import Pen
from router.facts import BODY, LeadCable, lead_cable_of

WORDS = {
    Symbol.LAMP: "lamp",
    Symbol.LOAD: "load, with its current",
    Symbol.BATTERY: "battery",
    Symbol.SOURCE: "another source",
    Symbol.TAP: "from a circuit of the vehicle, fused there",
}


def legend_of(circuit: Circuit) -> Iterator[tuple[str, str]]:
    """Yield the symbols that are used, each with its meaning."""
    terminals = [circuit.terminal(end.terminal) for end in circuit.all_ends]
    if any(each is not None and not each.is_connector for each in terminals):
        yield "stud", "stud or post: ring terminal"
    if any(each is None or each.is_connector for each in terminals):
        yield "contact", "contact of a connector"
    if any(fuse_at(circuit, end) for end in circuit.all_ends):
        yield "fuse", "fuse in its holder, spliced in"
    for symbol in dict.fromkeys(item.symbol for item in circuit.items):
        yield symbol.value, WORDS[symbol]
    if BODY in circuit.framed:
        yield "frame", "the vehicle's body"
    if circuit.nets:
        yield "joined", "joined; in dashes: by the unit itself"
    for run in circuit.plan.runs:
        cable = lead_cable_of(circuit.plan.job.run(run.name), run.conductors)
        if cable is not None:
            yield "cable", _cable_words(circuit, cable)


def _cable_words(circuit: Circuit, cable: LeadCable) -> str:
    """Return which conductors are cores of one cable: "10-19: one 13-pin cable, 2 cores capped"."""
    numbers = [
        number
        for number, piece in enumerate(circuit.network.pieces, start=1)
        if piece.run == cable.run and piece.conductor in cable.used
    ]
    which = f"{numbers[0]}-{numbers[-1]}" if len(numbers) > 1 else str(numbers[0])
    capped = f", {len(cable.unused)} cores capped" if cable.unused else ""
    return f"{which}: one {cable.name}{capped}"


def draw_circuit_legend(pen: Pen, layout: DiagramLayout, entries: tuple[tuple[str, str], ...]) -> None:
    """Draw each symbol with its meaning, at the end of the diagram."""
    draw = {
        "stud": lambda at: symbols.draw_stud(pen, at),
        "contact": lambda at: symbols.draw_contact(pen, at),
        "fuse": lambda at: symbols.draw_fuse(pen, at),
        "frame": lambda at: symbols.draw_frame(pen, (at[0] + 1.5, at[1])),
        "joined": lambda at: symbols.draw_dot(pen, at),
        "cable": lambda at: symbols.draw_cable(pen, at),
    }
    width = layout.width_mm - layout.left_x - 18.0
    for number, (name, words) in enumerate(entries):
        y = layout.legend_y + (number + 0.5) * LEGEND_LINE_MM
        at = (layout.left_x + 7.0, y)
        if name in draw:
            draw[name](at)
        else:
            symbols.draw_item(pen, (at[0] + symbols.SYMBOL_MM / 2, y), Symbol(name))
        for line, part in enumerate(wrap(words, width, NOTE_MM)):
            pen.text((layout.left_x + 15.0, y + 1.1 + line * LINE_MM), part, size_mm=NOTE_MM)
    y = layout.legend_y + len(entries) * LEGEND_LINE_MM + 4.5
    source = "Symbols after IEC 60617, from memory."
    pen.text((layout.left_x, y), source, size_mm=NOTE_MM, colour=inks.GREY)
