"""The conductors trade: sizes, fuses and findings, for a whole job."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from router.conductors.cable_sizes import Size
from router.conductors.conductor_reasons import conductor_reasons
from router.conductors.faults import FarEndShort, far_end_shorts
from router.conductors.findings.all_findings import findings_of
from router.conductors.fuse_reasons import fuse_reasons
from router.conductors.fuses import HolderPlace, holder_place
from router.conductors.protection import Protection, protections_of
from router.conductors.question import ElectricalQuestion, question_of
from router.conductors.resistance import copper_kg
from router.conductors.sizing import Sizing, size_conductors
from router.conductors.weakest_part import holder_lead
from router.errors import NoConductorError
from router.model.conductor_choice import ConductorChoice, FuseChoice, LoadCase
from router.model.job import Job
from router.model.plan import Bundle, Electrical, Route, RunLength
from router.model.practice import Practice
from router.model.vehicle import Profile


def choose_conductors(
    job: Job,
    profile: Profile,
    practice: Practice,
    routes: Sequence[Route],
    bundles: Sequence[Bundle],
    lengths: Sequence[RunLength],
) -> Electrical:
    """Return the conductors and fuses of a job.

    Every conductor is the smallest ordinary size of the job's series that meets the least size, ampacity in
    the worst stretch of its run, its share of the drop limit in the job's worst case, and the fuse before
    it. A size or a rating that the job names is kept, and a finding says where it breaks a limit. A fuse is
    the smallest standard one that its load allows.

    Parameters
    ----------
    job : Job
        What to supply; conductors' names are different from each other.
    profile : Profile
        The vehicle: of which kind its spaces and the source's terminal are.
    practice : Practice
        The rules in force: groups "conductor", "fuse", "ambient".
    routes, lengths : sequence of Route, sequence of RunLength
        One of each a run, in the job's order. Lengths in mm.
    bundles : sequence of Bundle
        Which runs lie together where.

    Returns
    -------
    Electrical
        One choice per conductor and one per fuse, in the job's order, with reasons; and the findings.

    Raises
    ------
    NoConductorError
        Where no size meets a demand, or no fuse fits: the limit, the best size, the figures, and which change
        would help.

    References
    ----------
    .. [1] 33 CFR 183.425 Table 5 and its notes; 33 CFR 183.455.
    .. [2] 46 CFR 183.340(p); FAA AC 43.13-1B chapter 11.
    .. [3] IEC 60949.
    """
    question = question_of(job, profile, practice, routes, bundles, lengths)
    refused: list[str] = []
    protections = protections_of(question, refused)
    sizings = size_conductors(question, protections, refused)
    if refused:
        raise NoConductorError("; besides, ".join(dict.fromkeys(refused)))
    sizes = {sizing.carrier.name: sizing.size for sizing in sizings}
    drops = {load: question.loop_drop_v(load, sizes) for load in question.circuit.loads}
    shorts = {
        protection.carrier.name: far_end_shorts(question, protection, sizes) for protection in protections
    }
    places = {each.carrier.name: _holder_place(question, each, sizes) for each in protections}
    seconds = {
        each.carrier.name: _holder_place(question, each, sizes, is_second=True)
        for each in protections
        if each.carrier.run.fuse and each.carrier.run.fuse.is_at_both_ends
    }
    return Electrical(
        conductors=tuple(_conductor_choice(question, sizing, drops, sizes) for sizing in sizings),
        fuses=tuple(
            _fuse_choice(
                question,
                each,
                places[each.carrier.name],
                seconds.get(each.carrier.name),
                sizings,
                shorts[each.carrier.name],
            )
            for each in protections
        ),
        findings=findings_of(question, sizings, protections, drops, places, seconds, shorts),
    )


def _holder_place(
    question: ElectricalQuestion,
    protection: Protection,
    sizes: Mapping[str, Size],
    *,
    is_second: bool = False,
) -> HolderPlace:
    """Return where a fuse's holder sits, or the second one at the other end of its run."""
    run, area_mm2 = protection.carrier.run, sizes[protection.carrier.name].area_mm2
    near = question.ends.near[protection.carrier.name]
    if is_second:
        near = run.start if near == run.end else run.end
    source = question.ends.terminals[near] if question.ends.is_source(near) else None
    route, practice = question.routes[run.name], question.practice
    return holder_place(run, near, source, route, practice, area_mm2=area_mm2)


def _conductor_choice(
    question: ElectricalQuestion, sizing: Sizing, drops: Mapping[str, float], sizes: Mapping[str, Size]
) -> ConductorChoice:
    carrier, size = sizing.carrier, sizing.size
    length_mm = question.surroundings[carrier.run.name].cut_mm
    drop_v = max((drops[load] for load in carrier.loads), default=0.0)
    return ConductorChoice(
        run=carrier.run.name,
        name=carrier.name,
        colour=carrier.conductor.colour,
        size=size.label,
        area_mm2=size.area_mm2,
        outside_mm=size.outside_mm,
        length_mm=length_mm,
        load_a=carrier.current_a,
        ampacity_a=sizing.ampacity.amperes,
        drop_v=drop_v,
        drop_fraction=drop_v / question.job.source.nominal_v,
        decided_by=sizing.decided_by,
        copper_kg=copper_kg(size.area_mm2, length_mm),
        reasons=conductor_reasons(question, sizing, drops, sizes),
        own_drop_v=question.own_drop_v(carrier, size),
        pin=question.lead_pin(carrier),
        function=carrier.conductor.function,
        load_drop_v=drops.get(carrier.name),
        when=question.when(carrier.name) if carrier.name in drops else LoadCase.NO_OWN_LOAD,
    )


def _fuse_choice(
    question: ElectricalQuestion,
    protection: Protection,
    place: HolderPlace,
    second: HolderPlace | None,
    sizings: tuple[Sizing, ...],
    shorts: tuple[FarEndShort, ...],
) -> FuseChoice:
    size = next(sizing.size for sizing in sizings if sizing.carrier is protection.carrier)
    fuse = protection.standard
    lead = holder_lead(question, protection.carrier, fuse, size) if fuse else None
    return FuseChoice(
        run=protection.carrier.run.name,
        conductor=protection.carrier.name,
        rating_a=protection.rating_a,
        family=fuse.family if fuse else None,
        colour=fuse.colour if fuse else "not a standard rating",
        station_mm=place.station_mm,
        furthest_mm=place.furthest_mm,
        second_station_mm=second.station_mm if second else None,
        reasons=fuse_reasons(question, protection, place, sizings, shorts),
        leads=lead.words if lead else None if fuse else size.label,
        leads_mm2=lead.most_mm2 if lead else None,
        stud=fuse.holder.stud if fuse else None,
    )
