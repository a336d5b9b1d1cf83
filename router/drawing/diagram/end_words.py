"""What is written at the ends of a circuit diagram: in the box, over the conductor, and under it."""

from __future__ import annotations

from dataclasses import dataclass

from router.drawing.diagram.circuit_points import Circuit, End
from router.drawing.paper.letters import wrap
from router.facts import BODY
from router.model.conductor_choice import ConductorChoice, FuseChoice

TYPE_MM = 3.6
LINE_MM = 4.3
INSIDE_MM = 27.0
"""Room for words in a box."""
OUTSIDE_MM = 38.0
"""Room for words along a conductor."""
LEAST_UNDER_MM = 4.0
"""For a symbol that reaches below its line."""


@dataclass(frozen=True, slots=True)
class EndWords:
    """Lines of words round the line of an end."""

    inside_over: tuple[str, ...]
    inside_under: tuple[str, ...]
    over: tuple[str, ...]
    under: tuple[str, ...]

    @property
    def over_mm(self) -> float:
        """Return the height of what stands over the line."""
        return max(len(self.inside_over), len(self.over), 1) * LINE_MM + 2.0

    @property
    def under_mm(self) -> float:
        """Return the height of what stands under it."""
        return max(max(len(self.inside_under), len(self.under)) * LINE_MM + 2.4, LEAST_UNDER_MM)


def words_at(circuit: Circuit, end: End) -> EndWords:
    """Return what is written at an end."""
    choice, fuse = choice_of(circuit, end), fuse_at(circuit, end)
    over = under = ""
    if choice and end.wire is not None:
        over = f"{end.wire + 1}  {choice.name}"
        under = f"{choice.colour} {choice.size}, {choice.length_mm / 1000:.2f}\u00a0m" if end.is_start else ""
    fused = _fuse_words(circuit, end, fuse) if fuse else ()
    loads = ", ".join(item.words for item in circuit.items if item.end == end and item.words)
    return EndWords(
        wrap(_contact_words(circuit, end, choice), INSIDE_MM - 3.0, TYPE_MM),
        wrap(loads, INSIDE_MM - 3.0, TYPE_MM),
        wrap(over, OUTSIDE_MM - 3.0, TYPE_MM),
        tuple(line for each in (under, *fused) for line in wrap(each, OUTSIDE_MM - 3.0, TYPE_MM)),
    )


def _fuse_words(circuit: Circuit, end: End, fuse: FuseChoice) -> tuple[str, str]:
    run = next(each for each in circuit.plan.runs if each.name == fuse.run)
    is_at_start = end.terminal == run.start
    off_mm = min(at if is_at_start else run.route.routed_mm - at for at in fuse.stations_mm)
    family = f" {fuse.family}" if fuse.family else ""
    return f"fuse {fuse.rating_a:g} A{family}, {fuse.colour}", f"{off_mm / 1000:.2f} m from here"


def choice_of(circuit: Circuit, end: End) -> ConductorChoice | None:
    """Return the conductor chosen for an end, None for a bare pole."""
    piece = circuit.piece(end)
    choices = (each for run in circuit.plan.runs for each in run.conductors)
    return next((each for each in choices if piece and each.name == piece.conductor), None)


def fuse_at(circuit: Circuit, end: End) -> FuseChoice | None:
    """Return the fuse that sits in a conductor near this end of it."""
    piece = circuit.piece(end)
    if piece is None or end.node not in piece.fused_at or (end.node == piece.end and end.is_start):
        return None
    return next((run.fuse for run in circuit.plan.runs if run.name == piece.run), None)


def _contact_words(circuit: Circuit, end: End, choice: ConductorChoice | None) -> str:
    """Return which point of its box an end is: "plus, M6", "pin 3, rear fog", "contact"."""
    own = circuit.terminal(end.terminal)
    piece = circuit.piece(end)
    is_return = piece.is_return if piece else end.node.pole == "minus"
    stud = own.stud_for(is_return=is_return) if own else None
    is_pole = end.node.pole in ("plus", "minus")
    pole = end.node.pole if is_pole and end.node != BODY else ""
    if own and own.unit and end.terminal != own.unit:
        return f"{end.terminal}{f', {stud}' if stud else ''}"
    if choice and choice.pin is not None and end.terminal == _end_of_run(circuit, choice.run):
        return f"pin {choice.pin}"
    function = choice.function if choice and choice.function and not stud else ""
    parts = [part for part in (pole or function, stud or "") if part]
    return ", ".join([*parts, *(["no conductor"] if end.wire is None else [])])


def _end_of_run(circuit: Circuit, run: str) -> str:
    return next(each.end for each in circuit.plan.runs if each.name == run)
