"""The shape of a job file; a description here is what an editor shows beside the key."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from router.model.job import Duty, Series
from router.reading.job.insulation_words import InsulationClass
from router.reading.job.lamp_words import LampList, LeadWord
from router.reading.job.voltage_words import UnitVoltage
from router.reading.profile.profile_file import TerminalFile
from router.reading.yaml.fields import (
    Current,
    DutyWord,
    Efficiency,
    Ends,
    FileModel,
    Flag,
    Fraction,
    FuseRating,
    GivenSize,
    Load,
    LoadKindWord,
    Names,
    Point,
    Power,
    Resistance,
    SeriesWord,
    SizeText,
    Temperature,
    Text,
    Voltage,
    Width,
)
from router.reading.yaml.part_words import FuseFamilyWord


class SourceFile(FileModel):
    """The supply."""

    nominal: Voltage
    resting: Voltage = Field(description="what the battery gives at rest, nothing switched on")
    running: Voltage | None = Field(
        None, description="what it gives with the engine running, lamps on, as measured"
    )
    at: Text = Field(description="the terminal it is taken from")
    negative_at: Text | None = Field(
        None, description="the terminal of its other pole, where a run ends there"
    )
    body: Resistance | None = Field(
        None,
        description="of the vehicle's body from earth stud to that pole, as measured; else the practice's",
    )
    joint: Resistance | None = Field(None, description="of one joint, as measured; else the practice's")
    short_circuit: Current | None = Field(
        None, description="the most that it can drive into a short at its terminals, as its maker says"
    )


class PlaceFile(TerminalFile):
    """A terminal that the job brings along: where a unit will sit, where a new stud will be."""

    at: Point = Field(description="x rearward, y to the vehicle's right, in the unit of the profile's file")


class InverterFile(FileModel):
    """An inverter, whose current rises as its voltage falls: power / (efficiency x voltage)."""

    power: Power = Field(description="the most that it gives for good, at its output")
    efficiency: Efficiency = Field(description="at that power, as its data sheet says")
    lowest: Voltage = Field(description="the lowest voltage at which it still runs, as its data sheet says")


class ConductorFile(FileModel):
    """One conductor of a run."""

    name: Text
    colour: Text | None = Field(None, description="without it the one of its function in the run's lead")
    function: Text | None = Field(None, description="what it does in the run's lead, e.g. stop")
    load: Load | None = Field(None, description="a current, or a power at the source's nominal voltage")
    lamps: LampList = Field((), description="in place of load: what is printed on the lamps, with how many")
    inverter: InverterFile | None = Field(None, description="in place of load: an inverter by its data sheet")
    kind: LoadKindWord | None = Field(None, description="what its load is: what it draws when switched on")
    voltage: UnitVoltage | None = Field(
        None, description="what its load is made for: 12 V, or from and to, [10 V, 32 V]"
    )
    switch: Text | None = Field(
        None, description="what switches its load; those of one switch come on at once"
    )
    duty: DutyWord = Field(Duty.CONTINUOUS, description="three hours or more at a time is continuous")
    size: SizeText = Field(None, description="auto, or a size of the job's series")
    returns: Names = Field([], description="conductors whose current comes back along this one")
    fed_by: Text | None = Field(None, description="the conductor that this one continues")
    output_limit: Current | None = Field(
        None, description="the most that the unit which feeds it lets through for good, as its papers say"
    )
    never_with: Names = Field([], description="conductors whose loads are never on while this one's is")


class RunFile(FileModel):
    """One cable route between two terminals."""

    run: Text
    from_: Ends = Field(description="the terminal where it begins, or a list of which it takes the best one")
    to: Ends = Field(description="the terminal where it ends, or a list of which it takes the best one")
    conductors: Annotated[list[ConductorFile], Field(min_length=1)]
    lead: LeadWord | None = Field(None, description="the published trailer lead that this run is")
    fuse: FuseRating = Field(None, description="auto or a rating; leave it out where the run has no fuse")
    fuse_at: Width | None = Field(
        None,
        description="where its holder sits, from the source's end along the run; else as close as can be",
    )
    fuse_at_both_ends: Flag = Field(
        False, description="a second fuse at the other end, where another source can feed the run"
    )
    fuse_family: FuseFamilyWord | None = Field(
        None, description="without it the first whose holder carries the fuse where it sits"
    )
    holder_leads: GivenSize | None = Field(
        None, description="the size of its holder's leads, where it is not one of the table of fuses"
    )
    via: Names = Field([], description="supports, openings, members or terminals to use, in this order")
    avoid: Names = Field([], description="supports, openings, members or covers not to use")
    apart_from: dict[Text, Width] = Field(
        {}, description="by run: how far its loom stays from this one's, outside to outside"
    )


class LimitsFile(FileModel):
    """What the finished work must keep to."""

    drop: Fraction | None = Field(None, description="of the nominal voltage; without it the practice's")
    ambient: dict[Text, Temperature] = Field({}, description="by space; the practice's elsewhere")


class JobFile(FileModel):
    """What to install on one vehicle."""

    job: Text = Field(description="the job's name")
    profile: Text = Field(description="a library name or a path")
    variant: Text | None = None
    practice: Text | None = Field(None, description="law, voluntary or a path; else the default")
    series: SeriesWord = Series.METRIC
    insulation: InsulationClass | None = Field(
        None, description="its class: class B, GXL or 125 degC; else 100 degC, of SAE-marked cable 85 degC"
    )
    source: SourceFile
    places: list[PlaceFile] = Field([], description="terminals that the job brings along")
    runs: Annotated[list[RunFile], Field(min_length=1)]
    limits: LimitsFile = LimitsFile(drop=None, ambient={})
