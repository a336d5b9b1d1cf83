"""The names that a vehicle has for others to use, also where its file has faults elsewhere."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from router.model.vehicle import Fix, Pole, Profile, TerminalKind
from router.reading.profile.profile_file import SECTIONS
from router.reading.profile.vehicles import Vehicle, base_vehicle, names_of, variant_vehicle
from router.reading.yaml.documents import Document


@dataclass(frozen=True, slots=True)
class KnownNames:
    """What a job may name.

    `never` are supports that nothing may be fixed to; `poles` those of battery posts, earth points and units.
    """

    spaces: tuple[str, ...]
    terminals: tuple[str, ...]
    supports: tuple[str, ...]
    never: tuple[str, ...]
    openings: tuple[str, ...]
    members: tuple[str, ...]
    covers: tuple[str, ...]
    poles: Mapping[str, Pole]
    everything: frozenset[str]
    """The names of all things of the vehicle, also of those that nothing else names."""


def names_in(profile: Profile) -> KnownNames:
    """Return the names of a vehicle by itself, without the places that a job brings along."""
    terminals = tuple(each for each in profile.terminals if not each.is_place)
    sections = (getattr(profile, key.replace("-", "_")) for key in SECTIONS if key != "terminals")
    return KnownNames(
        spaces=tuple(each.name for each in profile.spaces),
        terminals=tuple(each.name for each in terminals),
        supports=tuple(each.name for each in profile.supports),
        never=tuple(each.name for each in profile.supports if each.fix is Fix.NEVER),
        openings=tuple(each.name for each in profile.openings),
        members=tuple(each.name for each in profile.members),
        covers=tuple(each.name for each in profile.covers),
        poles={each.name: pole for each in terminals if (pole := _pole(each.pole, each.kind))},
        everything=frozenset(each.name for section in (*sections, terminals) for each in section),
    )


def names_written(document: Document, variant: str | None) -> KnownNames | None:
    """Return the names in a profile file that has faults; None where one of them may be of a name."""
    vehicle = base_vehicle(document.data, None)
    variants = document.data.get("variants")
    if variant is not None:
        if not isinstance(variants, dict) or variant not in variants:
            return None
        vehicle = variant_vehicle(vehicle, variant, variants[variant], None)
    if not _is_named_throughout(vehicle) or not set(SECTIONS) >= _sections_in(document):
        return None
    supports = [entry.raw for entry in vehicle["supports"]]
    terminals = [entry.raw for entry in vehicle["terminals"]]
    return KnownNames(
        never=tuple(raw["name"] for raw in supports if raw.get("fix") == Fix.NEVER),
        poles=poles_written(terminals),
        everything=frozenset(names_of(vehicle, *SECTIONS)),
        **{key: names_of(vehicle, key) for key in _LISTED},
    )


def poles_written(terminals: Iterable[Mapping[str, Any]]) -> dict[str, Pole]:
    """Return which pole each terminal is that is one by itself, of named ones as written."""
    found = {}
    for raw in terminals:
        pole = Pole(raw["pole"]) if raw.get("pole") in list(Pole) else None
        if pole := _pole(pole, raw.get("kind")):
            found[raw["name"]] = pole
    return found


def _pole(pole: Pole | None, kind: object) -> Pole | None:
    return Pole.MINUS if kind == TerminalKind.EARTH_POINT else pole


_LISTED = ("spaces", "terminals", "supports", "openings", "members", "covers")
_HEAD = {"profile", "revision", "measured", "unit", "datum", "variants"}


def _is_named_throughout(vehicle: Vehicle) -> bool:
    return all(entry.name is not None for entries in vehicle.values() for entry in entries)


def _sections_in(document: Document) -> set[str]:
    """Return the keys at the top that are no head of a profile: its sections, or misspelt ones."""
    return set(document.data) - _HEAD
