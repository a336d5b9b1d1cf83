"""Jobs: from a file, checked by itself and against its profile, to the record."""

from __future__ import annotations

from pathlib import Path as FilePath

from router.errors import Fault
from router.model.job import Apart, Conductor, Fuse, Inverter, Job, Limits, Run, Source
from router.model.practice import Practice
from router.model.vehicle import Profile
from router.reading.files import is_folder
from router.reading.job.insulation_words import insulation_faults, usual_insulation_c
from router.reading.job.job_file import ConductorFile, InverterFile, JobFile, RunFile, SourceFile
from router.reading.job.leads import lead_conductor, lead_faults, returns_of
from router.reading.job.names_in_job import apart_faults, conductor_faults, profile_name_faults, run_faults
from router.reading.job.places import faults_in_vehicle, own_place_faults, with_place_names
from router.reading.job.voltage_faults import voltage_faults
from router.reading.profile.known_names import KnownNames
from router.reading.yaml.documents import Document
from router.reading.yaml.structure import sound, structure_faults
from router.units import parse_quantity

JOB_FILE = "job.yaml"


def job_file(path: FilePath) -> FilePath:
    """Return a job's file, given itself or the folder that holds it as job.yaml."""
    return path / JOB_FILE if is_folder(path) else path


def own_faults(document: Document) -> tuple[Fault, ...]:
    """Return the faults that a job file has by itself, in its order."""
    found = [*document.faults, *structure_faults(document, JobFile)]
    written = sound(document, JobFile)
    found += own_place_faults(written)
    found += run_faults(written)
    found += apart_faults(written)
    found += conductor_faults(written)
    found += lead_faults(written)
    found += voltage_faults(written)
    found += insulation_faults(written)
    return tuple(sorted(set(found)))


def faults_against(document: Document, known: KnownNames, profile: Profile | None) -> tuple[Fault, ...]:
    """Return the faults of a job file that only its profile shows.

    Parameters
    ----------
    document : Document
    known : KnownNames
        The names of the vehicle.
    profile : Profile, optional
        The vehicle, which its places must fit; None where its file has faults.
    """
    written = sound(document, JobFile)
    found = [*faults_in_vehicle(written, known, profile)]
    found += profile_name_faults(written, with_place_names(written, known))
    return tuple(sorted(set(found)))


def make_job(document: Document, key: str, practice: Practice) -> Job:
    """Return the record of a job file without faults; what it does not say, the practice does."""
    file = JobFile.model_validate(document.data)
    drop = file.limits.drop
    return Job(
        key=key,
        name=file.job,
        profile=file.profile,
        variant=file.variant,
        practice=file.practice,
        source=_source(file.source),
        series=file.series,
        insulation_c=file.insulation or usual_insulation_c(file.series),
        runs=tuple(_run(run, file.source.nominal) for run in file.runs),
        limits=Limits(
            practice.value("conductor", "drop") if drop is None else drop, dict(file.limits.ambient)
        ),
    )


def _source(source: SourceFile) -> Source:
    return Source(
        nominal_v=source.nominal,
        resting_v=source.resting,
        at=source.at,
        negative_at=source.negative_at,
        body_ohm=source.body,
        joint_ohm=source.joint,
        short_circuit_a=source.short_circuit,
        running_v=source.running,
    )


def _run(run: RunFile, nominal_v: float) -> Run:
    return Run(
        name=run.run,
        start=run.from_[0],
        end=run.to[0],
        conductors=tuple(_conductor(run, each, nominal_v) for each in run.conductors),
        fuse=_fuse(run) if "fuse" in run.model_fields_set else None,
        via=tuple(run.via),
        avoid=tuple(run.avoid),
        apart_from=tuple(Apart(name, distance_mm) for name, distance_mm in run.apart_from.items()),
        lead=run.lead,
        may_start_at=_several(run.from_),
        may_end_at=_several(run.to),
    )


def _fuse(run: RunFile) -> Fuse:
    return Fuse(run.fuse, run.fuse_at, run.fuse_at_both_ends, run.fuse_family, run.holder_leads)


def _several(names: list[str]) -> tuple[str, ...]:
    return tuple(names) if len(names) > 1 else ()


def _conductor(run: RunFile, conductor: ConductorFile, nominal_v: float) -> Conductor:
    written = {
        "lead": run.lead,
        "conductors": [each.model_dump(exclude_unset=True) for each in run.conductors],
    }
    own = conductor.model_dump(exclude_unset=True)
    lead = lead_conductor(written, own)
    lamps_a = sum(lamps.count * lamps.each_a for lamps in conductor.lamps)
    inverter = _inverter(conductor.inverter) if conductor.inverter else None
    return Conductor(
        name=conductor.name,
        colour=conductor.colour or (lead.colour if lead else ""),
        load_a=inverter.most_a if inverter else lamps_a or _load_a(conductor.load, nominal_v),
        duty=conductor.duty,
        size=conductor.size,
        returns=tuple(returns_of(written, own)),
        fed_by=conductor.fed_by,
        never_with=tuple(conductor.never_with),
        lamps=conductor.lamps,
        function=conductor.function,
        kind=conductor.kind,
        switch=conductor.switch or (lead.switch if lead else None),
        inverter=inverter,
        output_limit_a=conductor.output_limit,
    )


def _inverter(inverter: InverterFile) -> Inverter:
    return Inverter(inverter.power, inverter.efficiency, inverter.lowest)


def _load_a(load: str | None, nominal_v: float) -> float:
    if load is None:
        return 0.0
    try:
        return parse_quantity(load, "current")
    except ValueError:
        return parse_quantity(load, "power") / nominal_v
