"""What must be installed. Currents in A, voltages in V, temperatures in degC."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum


class Duty(StrEnum):
    """How long a load draws its current: three hours or more at a time is continuous."""

    CONTINUOUS = "continuous"
    INTERMITTENT = "intermittent"


class LoadKind(StrEnum):
    """What a load is: how much more than its steady current it draws when it is switched on."""

    MOTOR = "motor"
    HEATER = "heater"
    ELECTRONIC = "electronic"
    LED = "LED"
    FILAMENT = "filament"


class Series(StrEnum):
    """Which family of conductor sizes a job buys from; each is a table in router/tables."""

    METRIC = "metric"  # road-vehicle cable by mm2
    AWG = "awg"  # ASTM B258
    SAE = "sae"  # SAE-marked sizes, which hold less copper than the same AWG number
    IEC = "iec"  # IEC 60228 class 5


@dataclass(frozen=True, slots=True)
class Source:
    """The supply: its voltages and the terminal it is taken from."""

    nominal_v: float
    resting_v: float
    at: str
    negative_at: str | None = None
    """The terminal of its other pole; what comes back there does not come back through the body."""
    body_ohm: float | None = None
    """Of the vehicle's body between earth stud and other pole, as measured; None: the practice's."""
    joint_ohm: float | None = None
    """Of one joint, as measured; None: the practice's."""
    short_circuit_a: float | None = None
    """The most that it can drive into a short at its terminals, as its maker says; None: not known."""
    running_v: float | None = None
    """What it gives with the engine running; None: nobody measured it."""

    @property
    def lamp_v(self) -> float:
        """Return what it gives its lamps for certain: with the engine running, where that was measured."""
        return self.resting_v if self.running_v is None else self.running_v


@dataclass(frozen=True, slots=True)
class Lamps:
    """Some lamps of one kind that a conductor feeds, and what one of them draws, with its source."""

    count: int
    lamp: str
    """As printed on its base, of two filaments with the one that is meant: "P21W", "P21/5W dim"."""
    each_a: float
    test_v: float
    """The voltage at which it draws that."""
    source: str
    status: str


@dataclass(frozen=True, slots=True)
class Inverter:
    """A unit that draws the more current the lower its voltage is."""

    power_w: float
    efficiency: float
    lowest_v: float
    """At which it still runs."""

    @property
    def most_a(self) -> float:
        """Return what it draws at its lowest voltage: W / (efficiency x V).

        >>> round(Inverter(1000.0, 0.85, 10.5).most_a, 1)
        112.0
        """
        return self.power_w / (self.efficiency * self.lowest_v)


@dataclass(frozen=True, slots=True)
class Conductor:
    """One conductor of a run. `size` None means: choose it. Load 0 where it only returns others."""

    name: str
    colour: str
    load_a: float
    duty: Duty
    size: str | None
    returns: tuple[str, ...]
    """Names of the conductors whose current comes back along this one."""
    fed_by: str | None
    """Name of the conductor that this one continues, downstream of it; its drop is added to that one's."""
    never_with: tuple[str, ...] = ()
    """Names of conductors whose loads are never on while this one's is; it holds for both."""
    lamps: tuple[Lamps, ...] = ()
    """What its load is made of, where the job names lamps."""
    function: str | None = None
    """What it does in its run's lead: "stop", "left indicator"."""
    kind: LoadKind | None = None
    """What its load is, None where nobody said."""
    switch: str | None = None
    """What switches its load: loads of one switch come on together."""
    inverter: Inverter | None = None
    """What its load is made of, where the job names an inverter."""
    output_limit_a: float | None = None
    """The most that the unit which feeds it lets through for good; None: nobody said that it limits."""


@dataclass(frozen=True, slots=True)
class Fuse:
    """What a job says about a run's fuse: None means: choose it."""

    rating_a: float | None
    from_source_mm: float | None = None
    """Where the holder sits, from the source's end along the run; None: as close as it can be fitted."""
    is_at_both_ends: bool = False
    """Whether a second one of the same rating sits at the run's other end, which another source feeds."""
    family: str | None = None
    """Of standard fuses, e.g. "large blade"; None: the first whose holder carries its rating there."""
    leads: str | None = None
    """The size of its holder's leads, e.g. "6 mm2"; None: as the table of fuses has them."""


@dataclass(frozen=True, slots=True)
class Apart:
    """Another run that a run's loom stays away from, outside to outside in space; it holds for both."""

    run: str
    distance_mm: float


@dataclass(frozen=True, slots=True)
class Run:
    """One cable route between two terminals. `fuse` None means that the run has none."""

    name: str
    start: str
    """Of several, the one that is taken; the first until a plan or a drawn route takes one."""
    end: str
    """As `start`."""
    conductors: tuple[Conductor, ...]
    fuse: Fuse | None
    via: tuple[str, ...]
    """Supports, openings, members or terminals that it must use, in this order."""
    avoid: tuple[str, ...]
    """Supports, openings, members, covers that it must not use."""
    apart_from: tuple[Apart, ...] = ()
    """As the file says; `Job.apart_mm` looks at both runs of a pair."""
    lead: str | None = None
    """The published trailer lead that it is: "4-way", "7-way", "7-pin", "13-pin"."""
    may_start_at: tuple[str, ...] = ()
    """Terminals of which it begins at one; empty where the job names just one."""
    may_end_at: tuple[str, ...] = ()
    """As `may_start_at`."""


@dataclass(frozen=True, slots=True)
class Limits:
    """What the finished work must keep to. `ambient_c` by space name; elsewhere the practice's applies."""

    drop_fraction: float
    ambient_c: Mapping[str, float]

    def __hash__(self) -> int:
        return hash((self.drop_fraction, frozenset(self.ambient_c.items())))


@dataclass(frozen=True, slots=True)
class Job:
    """What to install on one vehicle."""

    key: str
    """File stem or folder name, e.g. "fridge-supply"."""
    name: str
    profile: str
    """Library name or path, as the file says."""
    variant: str | None
    practice: str | None
    source: Source
    series: Series
    insulation_c: float
    """Temperature class of the insulation."""
    runs: tuple[Run, ...]
    limits: Limits

    def run(self, name: str) -> Run:
        """Return the run of that name; KeyError where there is none."""
        for run in self.runs:
            if run.name == name:
                return run
        raise KeyError(name)

    def apart_mm(self, one: str, other: str) -> float | None:
        """Return how far the looms of two runs must stay apart, whichever says so; None: they may touch."""
        pairs = ((self.run(one), other), (self.run(other), one))
        said = [apart.distance_mm for run, name in pairs for apart in run.apart_from if apart.run == name]
        return max(said, default=None)
