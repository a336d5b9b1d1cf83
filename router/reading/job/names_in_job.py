"""Names in a job file: runs and conductors among themselves, and what the profile must have.

Works on what was written, so that a fault elsewhere in a run does not hide a fault of its names.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from router.errors import Fault
from router.model.vehicle import Pole
from router.reading.job.leads import lead_conductor, returns_of
from router.reading.profile.known_names import KnownNames
from router.reading.profile.names_in_profile import unknown
from router.reading.yaml.documents import Document
from router.reading.yaml.raw import items_in, mapping_in
from router.reading.yaml.wording import Path
from router.units import parse_quantity

_TIES = ("returns", "fed-by", "never-with")
"""Keys of a conductor that name others."""
_POLE_WORDS = {
    Pole.POSITIVE: "a positive battery post",
    Pole.NEGATIVE: "a negative battery post",
    Pole.PLUS: "the plus of a unit",
    Pole.MINUS: "an earth or the minus of a unit",
}
_LOADS = frozenset({"load", "lamps", "inverter"})
"""Keys of a conductor that give it a load of its own."""
Texts = Iterator[tuple[Path, str]]


def run_faults(document: Document) -> Iterator[Fault]:
    """Yield a fault for each run named twice, each that goes nowhere, and each via that is avoided."""
    yield from used_twice(document, _texts(document, "run"), "run")
    for path, run in _runs(document):
        yield from _end_faults(document, path, run)
        avoided = [name for _, name in _listed(path, run, "avoid")]
        for inner, name in _listed(path, run, "via"):
            if name in avoided:
                yield document.fault(inner, f'"{name}" is in via and in avoid; keep one of the two')


def _end_faults(document: Document, path: Path, run: Mapping[str, Any]) -> Iterator[Fault]:
    """Yield a fault for each end that a run names twice, and each at which it would begin and end."""
    starts = {name for _, name in _listed(path, run, "from")}
    for inner, name in _listed(path, run, "to"):
        if name in starts:
            yield document.fault(inner, f'ends where it begins, at "{name}"; write two terminals')
    for key in ("from", "to"):
        names: set[str] = set()
        for inner, name in _listed(path, run, key):
            if name in names:
                yield document.fault(inner, f'"{name}" is in {key} already; leave it out here')
            names.add(name)


def apart_faults(document: Document) -> Iterator[Fault]:
    """Yield a fault for each run to stay apart from that is not there, is itself, or says otherwise."""
    runs = {str(run["run"]): run for _, run in _runs(document) if isinstance(run.get("run"), str)}
    for path, run in _runs(document):
        for other, distance in mapping_in(run.get("apart-from")).items():
            inner, own = (*path, "apart-from", other), str(run.get("run"))
            if other == own:
                yield document.fault(inner, f'names itself, "{other}"; name another run', of_key=True)
            elif other not in runs:
                yield document.fault(inner, unknown("run", str(other), list(runs)), of_key=True)
            elif own in (back := mapping_in(runs[other].get("apart-from"))) and _differ(distance, back[own]):
                words = f'"{distance}" is not the "{back[own]}" that "{other}" says of "{own}"'
                yield document.fault(inner, f"{words}; write one distance")


def _differ(one: object, other: object) -> bool:
    try:
        return parse_quantity(str(one), "length") != parse_quantity(str(other), "length")
    except ValueError:
        return False  # reported as a fault of structure


def conductor_faults(document: Document) -> Iterator[Fault]:
    """Yield a fault for each conductor named twice, without load, or tied to one that is not there."""
    conductors = list(_conductors(document))
    named = [
        ((*path, "name"), str(raw["name"])) for path, raw in conductors if isinstance(raw.get("name"), str)
    ]
    yield from used_twice(document, named, "conductor")
    known = [name for _, name in named]
    fed = {raw.get("fed-by") for _, raw in conductors}
    for path, raw in conductors:
        for inner, name in (each for key in _TIES for each in _listed(path, raw, key)):
            if name == raw.get("name"):
                yield document.fault(inner, f'names itself, "{name}"; name another conductor')
            elif name not in known:
                yield document.fault(inner, unknown("conductor", name, known))
        yield from _never_with(document, path, raw, conductors)
        if "output-limit" in raw and "fed-by" not in raw:
            words = (
                "output-limit is of what a unit feeds; write fed-by: with the unit's supply, or leave it out"
            )
            yield document.fault((*path, "output-limit"), words, of_key=True)
        is_loaded = not _LOADS.isdisjoint(raw)
        if not is_loaded and not _is_return(document, path, raw) and raw.get("name") not in fed:
            yield document.fault(path, "has no load; write e.g. load: 9 A, or returns: supply")
    yield from _rings(document, conductors)
    yield from _fuses(document)


def _never_with(
    document: Document, path: Path, raw: Mapping[str, Any], conductors: list[tuple[Path, Mapping[str, Any]]]
) -> Iterator[Fault]:
    """Yield a fault for never-with where one of the two has no load to be on or off."""
    loaded = {each.get("name") for _, each in conductors if not _LOADS.isdisjoint(each)}
    known = {each.get("name") for _, each in conductors}
    if "never-with" in raw and raw.get("name") not in loaded:
        words = "never-with is of a load, and this conductor has none; give it load:, or leave it out"
        yield document.fault((*path, "never-with"), words, of_key=True)
    for inner, name in _listed(path, raw, "never-with"):
        if name in known - loaded:
            yield document.fault(inner, f'"{name}" has no load of its own; name a conductor that has one')


def profile_name_faults(document: Document, known: KnownNames) -> Iterator[Fault]:
    """Yield a fault for each name that the profile does not have, or not for that use."""
    source = mapping_in(document.data.get("source"))
    for key, pole in (("at", Pole.POSITIVE), ("negative-at", Pole.NEGATIVE)):
        name = source.get(key)
        if isinstance(name, str) and name not in known.terminals:
            yield document.fault(("source", key), unknown("terminal", name, known.terminals))
        elif isinstance(name, str) and known.poles.get(name, pole).is_minus is not pole.is_minus:
            words = f'"{name}" is {_POLE_WORDS[known.poles[name]]}; name the {pole.value} one'
            yield document.fault(("source", key), words)
    for run_path, run in _runs(document):
        ends = (each for key in ("from", "to") for each in _listed(run_path, run, key))
        for path, name in ends:
            if name not in known.terminals:
                yield document.fault(path, unknown("terminal", name, known.terminals))
    yield from _ways(document, known)
    for name in mapping_in(mapping_in(document.data.get("limits")).get("ambient")):
        if name not in known.spaces:
            words = unknown("space", name, known.spaces)
            yield document.fault(("limits", "ambient", name), words, of_key=True)


def _ways(document: Document, known: KnownNames) -> Iterator[Fault]:
    passable = (*known.supports, *known.openings, *known.members)
    usable = {"via": (*passable, *known.terminals), "avoid": (*passable, *known.covers)}
    kinds = {"via": "support, opening, member or terminal", "avoid": "support, opening, member or cover"}
    for path, run in _runs(document):
        for key in ("via", "avoid"):
            for inner, name in _listed(path, run, key):
                if name not in usable[key]:
                    yield document.fault(inner, unknown(kinds[key], name, usable[key]))
                elif key == "via" and name in known.never:
                    yield document.fault(inner, f'nothing may be fixed to "{name}"; name another support')


_OF_A_FUSE = ("fuse-at", "fuse-at-both-ends", "fuse-family", "holder-leads")


def _fuses(document: Document) -> Iterator[Fault]:
    for path, run in _runs(document):
        for key in (each for each in _OF_A_FUSE if each in run and "fuse" not in run):
            words = f"{key} is of a fuse, and this run has none; write fuse: auto, or leave it out"
            yield document.fault((*path, key), words, of_key=True)
        conductors = [raw for _, raw in items_in(run.get("conductors"), path)]
        if (
            "fuse" in run
            and conductors
            and all("returns" in raw or returns_of(run, raw) for raw in conductors)
        ):
            words = "fuse has no conductor that carries a load away from the source; leave it out"
            words += _unfused_words(document, run)
            yield document.fault((*path, "fuse"), words)


def _unfused_words(document: Document, earth: Mapping[str, Any]) -> str:
    """Return that what a run brings back wants a fuse on its way out, where it has none there."""
    brought = [name for raw in _raw_of(earth) for name in returns_of(earth, raw)]
    outs = {str(raw.get("name")): (run, raw) for _, run in _runs(document) for raw in _raw_of(run)}
    bare: dict[str, None] = {}
    for name in brought:
        chain = _way_out(name, outs)
        if chain and "returns" not in chain[-1][1] and all("fuse" not in run for run, _ in chain):
            bare[str(chain[-1][0].get("run"))] = None
    named = " and ".join(f'"{name}"' for name in bare)
    return f"; write fuse: auto in run {named}, which has none and needs one" if named else ""


_Outs = Mapping[str, tuple[Mapping[str, Any], Mapping[str, Any]]]
"""By name each conductor with its run."""


def _way_out(name: str, outs: _Outs) -> list[tuple[Mapping[str, Any], Mapping[str, Any]]]:
    """Return a conductor and those that feed it, each with its run, the first of them last."""
    names: list[str] = []
    feeder: object = name
    while isinstance(feeder, str) and feeder in outs and feeder not in names:
        names.append(feeder)
        feeder = outs[feeder][1].get("fed-by")
    return [outs[each] for each in names]


def _raw_of(run: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    return [raw for _, raw in items_in(run.get("conductors"), ())]


def _rings(document: Document, conductors: list[tuple[Path, Mapping[str, Any]]]) -> Iterator[Fault]:
    """Yield a fault for each conductor whose current would come from itself, by what it feeds and returns."""
    gathers: dict[str, list[str]] = {str(raw.get("name")): [] for _, raw in conductors}
    for path, raw in conductors:
        name = str(raw.get("name"))
        gathers[name] += [other for other in returns_of(_run_at(document, path), raw) if other in gathers]
        if raw.get("fed-by") in gathers:
            gathers[str(raw["fed-by"])].append(name)
    for path, raw in conductors:
        if ring := _ring(str(raw.get("name")), gathers):
            words = f"is in a ring with {', '.join(ring)}; let one of them come from the source"
            yield document.fault(path, words)


def _ring(name: str, gathers: Mapping[str, list[str]]) -> list[str]:
    """Return the others on a path from a conductor back to itself; empty if there is none."""
    paths = [[other] for other in gathers[name] if other != name]
    seen: set[str] = set()
    while paths:
        path_ = paths.pop(0)
        if name in gathers[path_[-1]]:
            return path_
        if path_[-1] not in seen:
            seen.add(path_[-1])
            paths += [[*path_, other] for other in gathers[path_[-1]] if other != path_[-1]]
    return []


def _is_return(document: Document, path: Path, raw: Mapping[str, Any]) -> bool:
    lead = lead_conductor(_run_at(document, path), raw)
    return "returns" in raw or bool(lead and lead.returns)


def _run_at(document: Document, path: Path) -> Mapping[str, Any]:
    return mapping_in(document.data["runs"][path[1]])


def used_twice(document: Document, named: Texts | list[tuple[Path, str]], what: str) -> Iterator[Fault]:
    """Yield a fault for each name that another thing of its kind has already.

    Parameters
    ----------
    document : Document
    named : iterable of (path, name)
        In the file's order.
    what : str
        What a thing of that kind is called.
    """
    first: dict[str, Path] = {}
    for path, name in named:
        if name in first:
            where = document.where(first[name])
            yield document.fault(
                path, f'name "{name}" is used already {where}; give each {what} a name of its own'
            )
        first.setdefault(name, path)


def _texts(document: Document, key: str) -> Texts:
    for path, run in _runs(document):
        if isinstance(run.get(key), str):
            yield (*path, key), run[key]


def _listed(path: Path, raw: Mapping[str, Any], key: str) -> Texts:
    held = raw.get(key)
    if isinstance(held, str):
        yield (*path, key), held
    for index, each in enumerate(held if isinstance(held, list) else []):
        if isinstance(each, str):
            yield (*path, key, index), each


def _runs(document: Document) -> Iterator[tuple[Path, Mapping[str, Any]]]:
    for (index,), run in items_in(document.data.get("runs"), ()):
        yield ("runs", index), run


def _conductors(document: Document) -> Iterator[tuple[Path, Mapping[str, Any]]]:
    for path, run in _runs(document):
        yield from items_in(run.get("conductors"), (*path, "conductors"))
