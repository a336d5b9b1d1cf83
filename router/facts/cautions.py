"""The cautions that fit a vehicle: one wording for the map and the sheet.

The words stand for what ANSI Z535 and ISO 3864 mean by them: DANGER, death or serious injury will follow;
WARNING, it could; CAUTION, a lesser injury could; NOTICE, no injury, but something else to heed.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from router.model.vehicle import Hazard, Profile


class SignalWord(StrEnum):
    """How bad it is if a caution is not heeded."""

    DANGER = "DANGER"
    WARNING = "WARNING"
    CAUTION = "CAUTION"
    NOTICE = "NOTICE"


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution: its signal word, a few words for the map, and a full sentence or two for the sheet."""

    word: SignalWord
    short: str
    text: str


HIGH_VOLTAGE_CAUTION = Caution(
    SignalWord.DANGER,
    "High voltage: never touch, move, cut or tie to an orange cable.",
    "Orange cables carry high voltage. Never touch, move, cut or tie to them. Only a person qualified for "
    "high voltage, following the vehicle maker's procedure, makes the vehicle safe to work on.",
)
STANDS_CAUTION = Caution(
    SignalWord.WARNING,
    "Work under it only on stands or a lift, never on a jack alone.",
    "A vehicle that falls kills. Level ground, wheels chocked, on stands or a lift rated for it, at "
    "the maker's lifting points; never under a jack alone.",
)
BATTERY_CAUTION = Caution(
    SignalWord.WARNING,
    "Battery off first, negative lead first; the fuse goes in last of all.",
    "A short circuit burns. Disconnect the battery before any work, negative lead first, as the vehicle "
    "maker says. Afterwards connect it while the fuse is still out, negative lead last; then fit the fuse, "
    "last of all.",
)
LINES_CAUTION = Caution(
    SignalWord.WARNING,
    "Fuel and brake lines are never a fixing; look behind before drilling.",
    "Fuel and brake lines are never a fixing, not even for a moment. Look at what lies behind before "
    "drilling. A line that was touched by a tool is checked by a qualified person before the vehicle moves.",
)
HOLES_CAUTION = Caution(
    SignalWord.WARNING,
    "Drill only where the sheet's table of holes says; look behind first.",
    "A drill that goes too deep opens a tank, a line or a battery. Drill only where the table of holes says, "
    "never into a member, a rail or high-strength steel. Look behind the panel before each hole; set the "
    "collar to the depth in the table.",
)
AIRBAG_CAUTION = Caution(
    SignalWord.WARNING,
    "Airbag wiring: leave it alone; do not tie to it, test it or unplug it.",
    "Airbag and belt-tensioner wiring can fire. Do not tie to it, test it or unplug it; wait after "
    "disconnecting the battery for as long as the vehicle maker says.",
)
HOT_CAUTION = Caution(
    SignalWord.CAUTION,
    "Exhaust parts stay hot long after the engine stops: let them cool.",
    "Exhaust parts burn skin long after the engine stops. Let them cool before going near.",
)
DRILLING_CAUTION = Caution(
    SignalWord.CAUTION,
    "Wear eye protection; dirt and swarf fall on you.",
    "Dirt, rust and swarf fall from above. Wear eye protection and gloves.",
)
WHO_DECIDES_CAUTION = Caution(
    SignalWord.NOTICE,
    "The vehicle maker's instructions, local rules and a qualified person decide.",
    "This plan is a proposal worked out from measurements. The vehicle maker's instructions, local rules "
    "and a qualified person decide; where they differ from it, they are right.",
)

_BY_HAZARD = (
    (frozenset({Hazard.HIGH_VOLTAGE}), HIGH_VOLTAGE_CAUTION),
    (frozenset({Hazard.FUEL, Hazard.BRAKE}), LINES_CAUTION),
    (frozenset({Hazard.AIRBAG}), AIRBAG_CAUTION),
    (frozenset({Hazard.HOT}), HOT_CAUTION),
)


def cautions_for(profile: Profile, *, is_drilled: bool = False) -> tuple[Caution, ...]:
    """Return the cautions that fit this vehicle, and holes where some are drilled, the worst first."""
    there = {keep_out.hazard for keep_out in profile.keep_outs}
    fitting = [caution for hazards, caution in _BY_HAZARD if hazards & there]
    fitting += [HOLES_CAUTION] if is_drilled else []
    fitting += [STANDS_CAUTION, BATTERY_CAUTION, DRILLING_CAUTION, WHO_DECIDES_CAUTION]
    order = list(SignalWord)
    always_first = [STANDS_CAUTION, BATTERY_CAUTION]
    return tuple(
        sorted(fitting, key=lambda caution: (order.index(caution.word), caution not in always_first))
    )
