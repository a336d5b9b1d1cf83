"""One job's question to this trade, put together: circuit, surroundings, routes and rules."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from router.conductors.ampacity import Ampacity, ampacities_along, is_least_size
from router.conductors.cable_sizes import Size, ordinary_sizes, size_named
from router.conductors.circuit import Carrier, Circuit, circuit_of
from router.conductors.copper_heat import warm_metres
from router.conductors.drop import voltage_drop_v
from router.conductors.fuse_limits import FuseLimit, fuse_limit
from router.conductors.fuse_loads import load_factors
from router.conductors.surroundings import Surroundings, hot_fuse_runs, surroundings_of
from router.errors import NoConductorError
from router.facts import ConductorEnds, Network, also_feeding, fused_conductor, network_of
from router.model.conductor_choice import LoadCase
from router.model.job import Job, Series
from router.model.plan import Bundle, Route, RunLength
from router.model.practice import Practice
from router.model.vehicle import Profile
from router.tables import trailer_lead


@dataclass(frozen=True)
class ElectricalQuestion:
    """What is asked, and what every step of the choice looks up."""

    job: Job
    profile: Profile
    practice: Practice
    network: Network
    """What the job joins to what."""
    circuit: Circuit
    surroundings: Mapping[str, Surroundings]
    routes: Mapping[str, Route]
    hot_fuses: frozenset[str]
    """Runs whose fuse lies in a hot place."""

    @cached_property
    def ends(self) -> ConductorEnds:
        """Return where each conductor's current comes from and goes to."""
        return ConductorEnds(self.job, self.profile)

    @property
    def source_v(self) -> float:
        """Return the highest voltage that the source is said to give, in V."""
        source = self.job.source
        return max(source.nominal_v, source.resting_v, source.running_v or 0.0)

    def drop_limit_v(self, load: str) -> float:
        """Return what a load's loop may lose, in V: by the job's limit, and by what its lamps need."""
        by_job_v = self.job.limits.drop_fraction * self.job.source.nominal_v
        return min(by_job_v, self.needed_drop_limit_v(load))

    def needed_drop_limit_v(self, load: str) -> float:
        """Return what may be lost on the way to a load that it still works, in V; infinity: nobody knows."""
        return min(self.lamp_drop_limit_v(load), self.inverter_drop_limit_v(load))

    def inverter_drop_limit_v(self, load: str) -> float:
        """Return what a load's inverter leaves of its source at rest, in V; else infinity."""
        inverter = self.circuit.by_name[load].conductor.inverter
        return math.inf if inverter is None else self.job.source.resting_v - inverter.lowest_v

    def is_inverter_limit(self, load: str) -> bool:
        """Return whether the lowest voltage of its inverter limits a load's drop the most."""
        return self.inverter_drop_limit_v(load) <= self.drop_limit_v(load)

    def lamp_drop_limit_v(self, load: str) -> float:
        """Return what may be lost on the way to a load's lamps, in V, by 13 CCR 1249(c); else infinity."""
        design_v = max((each.test_v for each in self.circuit.by_name[load].conductor.lamps), default=None)
        if design_v is None:
            return math.inf
        return self.job.source.lamp_v - self.practice.value("conductor", "lamp voltage") * design_v

    def is_lamp_limit(self, load: str) -> bool:
        """Return whether what its lamps need to burn limits a load's drop more than the job does."""
        return self.lamp_drop_limit_v(load) <= self.drop_limit_v(load)

    def fuse_limit(self, ampacity: Ampacity) -> FuseLimit:
        """Return how large the fuse before a conductor of this ampacity may be."""
        return fuse_limit(ampacity, self.practice, source_v=self.source_v)

    def is_every_load_on(self, carrier: Carrier) -> bool:
        """Return whether a conductor's worst case is all of its loads at once."""
        own = [self.circuit.by_name[load].conductor for load in carrier.may_carry]
        return not any(other in carrier.may_carry for each in own for other in each.never_with)

    def named_size(self, carrier: Carrier) -> Size | None:
        """Return the size that the job names for a conductor, None where it is to be chosen."""
        named = carrier.conductor.size
        return None if named is None else size_named(named, self.job.series)

    def lead_size(self, carrier: Carrier) -> Size | None:
        """Return the size in which a published lead is sold, None where it has none or the job names one."""
        area_mm2 = self.lead_mm2(carrier)
        if area_mm2 is None or carrier.conductor.size is not None:
            return None
        return size_named(f"{area_mm2:g} mm2", Series.METRIC)

    def fixed_size(self, carrier: Carrier) -> Size | None:
        """Return the size that a conductor has whatever is asked of it, None where it is to be chosen."""
        return self.named_size(carrier) or self.lead_size(carrier)

    def is_in_sheath(self, carrier: Carrier) -> bool:
        """Return whether a conductor shares its run's loom with others of the run."""
        return len(carrier.run.conductors) > 1

    def lead_mm2(self, carrier: Carrier) -> float | None:
        """Return the area that its run's published lead gives a conductor, None where it says nothing."""
        lead, function = carrier.run.lead, carrier.conductor.function
        return trailer_lead(lead)[function].area_mm2 if lead and function else None

    def lead_pin(self, carrier: Carrier) -> int | None:
        """Return the pin that its run's published lead gives a conductor, None where it says nothing."""
        lead, function = carrier.run.lead, carrier.conductor.function
        return trailer_lead(lead)[function].pin if lead and function else None

    @property
    def least_number(self) -> int:
        """Return the AWG number that the rules in force ask of every conductor."""
        return round(self.practice.value("conductor", "least AWG"))

    def options(self, carrier: Carrier) -> tuple[Size, ...]:
        """Return the sizes that a conductor may be chosen from, thinnest first."""
        in_sheath, number = self.is_in_sheath(carrier), self.least_number
        sizes = ordinary_sizes(self.job.series)
        return tuple(
            size for size in sizes if is_least_size(size, is_in_sheath=in_sheath, least_number=number)
        )

    def ampacity(
        self, carrier: Carrier, size: Size, *, insulation_c: float | None = None, is_alone: bool = False
    ) -> Ampacity:
        """Return what a conductor may carry in a size where it may carry the least.

        With the job's insulation unless another is given; alone: while nothing beside it carries current.
        """
        class_c = self.job.insulation_c if insulation_c is None else insulation_c
        each_stretch = ampacities_along(
            size.copper_mm2,
            class_c,
            self.surroundings[carrier.run.name],
            is_bundling_counted=self._is_bundling_counted and not is_alone,
            is_small_limited=self.practice.value("conductor", "small conductors") > 0,
        )
        return min(each_stretch, key=lambda ampacity: ampacity.amperes)

    @property
    def _is_bundling_counted(self) -> bool:
        return self.practice.value("conductor", "bundling") > 0

    def warm_metres(self, carrier: Carrier, size: Size) -> tuple[float, float]:
        """Return the length at 20 degC that resists like a conductor under its load, and how warm it gets.

        [m], [degC]
        """
        return warm_metres(
            size,
            carrier.current_a,
            self.job.insulation_c,
            self.surroundings[carrier.run.name],
            is_bundling_counted=self._is_bundling_counted,
            share=self.practice.value("conductor", "self-heating"),
        )

    def warm_ohm(self, carrier: Carrier, size: Size) -> float:
        """Return what a conductor in a size resists from end to end, as warm as its load makes it, in ohm."""
        return self.warm_metres(carrier, size)[0] * size.ohm_per_m

    @property
    def contact_ohm(self) -> float:
        """Return what every joint resists whatever its size: as the job measured it, else the practice's."""
        said = self.job.source.joint_ohm
        return self.practice.value("conductor", "connection") if said is None else said

    @property
    def crimp_m(self) -> float:
        """Return the length of its own conductor that a joint resists as much as besides, in m.

        Nothing where the job measured its joints: then that is all they resist.
        """
        is_measured = self.job.source.joint_ohm is not None
        return 0.0 if is_measured else self.practice.value("conductor", "crimp length") / 1000

    def joint_ohm(self, size: Size) -> float:
        """Return what one joint of a conductor in a size resists: the thicker, the less."""
        return self.contact_ohm + self.crimp_m * size.ohm_per_m

    @property
    def body_ohm(self) -> float:
        """Return the resistance of the vehicle's body: as the job measured it, else the practice's."""
        said = self.job.source.body_ohm
        return self.practice.value("conductor", "body return") if said is None else said

    def joints(self, carrier: Carrier) -> int:
        """Return how many joints a conductor has: at its ends and at its fuse holders, if any."""
        return 2 + 2 * self._holders(carrier)

    def joints_ohm(self, carrier: Carrier, size: Size) -> float:
        """Return the resistance of all joints of a conductor in a size."""
        return self.joints(carrier) * self.joint_ohm(size)

    def _holders(self, carrier: Carrier) -> int:
        """Return how many fuse holders sit in a conductor."""
        fused, fuse = fused_carrier(self.circuit, carrier.run.name), carrier.run.fuse
        return 0 if fused is not carrier or fuse is None else 1 + fuse.is_at_both_ends

    def metal_drop_v(self, carrier: Carrier, size: Size) -> float:
        """Return what a conductor loses along its own length in a size, in V."""
        length_m, _ = self.warm_metres(carrier, size)
        return voltage_drop_v(carrier.current_a, length_m, size.ohm_per_m)

    def own_drop_v(self, carrier: Carrier, size: Size) -> float:
        """Return what a conductor loses from end to end, its joints included, in V."""
        return self.metal_drop_v(carrier, size) + carrier.current_a * self.joints_ohm(carrier, size)

    def body_drop_v(self, load: str) -> float:
        """Return the voltage lost on a load's return path through the vehicle's body. [V]"""
        if not self.circuit.comes_back_by_body(load):
            return 0.0
        return self.circuit.body_current_with_a(load) * self.body_ohm

    def joints_drop_v(self, load: str, sizes: Mapping[str, Size]) -> float:
        """Return what the joints between the source, a load, and the source again lose, in V."""
        return sum(
            self.circuit.current_with_a(load, each) * self.joints_ohm(each, sizes[each.name])
            for each in self.circuit.loop(load)
        )

    def fuse_drop_v(self, load: str) -> float:
        """Return what fuses and the contacts of their holders lose on the way to a load, in V.

        What one loses at its rating, whatever the load: so no greater load asks for less copper because it
        has the next larger fuse, which resists less.
        """
        fuses = sum(self._holders(each) for each in self.circuit.loop(load))
        return fuses * self.practice.value("fuse", "own drop")

    def assumed_drop_v(self, load: str, sizes: Mapping[str, Size]) -> float:
        """Return how much of that rests on resistances of the practice, which nobody measured, in V."""
        source = self.job.source
        body_v = self.body_drop_v(load) if source.body_ohm is None else 0.0
        return body_v + (self.joints_drop_v(load, sizes) if source.joint_ohm is None else 0.0)

    def metal_drop_with_v(self, load: str, carrier: Carrier, size: Size) -> float:
        """Return what a conductor in a size loses along its own length while a load is on, in V."""
        length_m, _ = self.warm_metres(carrier, size)
        return voltage_drop_v(self.circuit.current_with_a(load, carrier), length_m, size.ohm_per_m)

    def loop_drop_v(self, load: str, sizes: Mapping[str, Size]) -> float:
        """Return what is lost between the source, a load, and the source again, in V."""
        metal_v = sum(
            self.metal_drop_with_v(load, each, sizes[each.name]) for each in self.circuit.loop(load)
        )
        fixed_v = self.body_drop_v(load) + self.fuse_drop_v(load)
        return fixed_v + self.joints_drop_v(load, sizes) + metal_v

    def when(self, load: str) -> LoadCase:
        """Return what is on when a load loses as much as its drop says."""
        return LoadCase.EVERY_LOAD if self.circuit.is_every_load_on_with(load) else LoadCase.MOST_TOGETHER


def fused_carrier(circuit: Circuit, run: str) -> Carrier | None:
    """Return the conductor that a run's fuse sits in, None where it has no fuse."""
    fused = fused_conductor(circuit.job.run(run), circuit.job)
    return circuit.by_name[fused.name] if fused else None


def question_of(
    job: Job,
    profile: Profile,
    practice: Practice,
    routes: Sequence[Route],
    bundles: Sequence[Bundle],
    lengths: Sequence[RunLength],
) -> ElectricalQuestion:
    """Return a job's question put together.

    Raises
    ------
    NoConductorError
        Where the job's circuit makes no sense, or its series has no size at all.
    """
    hot = hot_fuse_runs(job, profile, practice, routes)
    network = network_of(job, profile)
    circuit = circuit_of(job, load_factors(practice), hot, also_feeding(network, job))
    carrying = {run.name: circuit.carrying(run.name) for run in job.runs}
    surroundings = surroundings_of(job, practice, routes, bundles, lengths, carrying, profile)
    if len(circuit.by_name) != len(circuit.carriers):
        raise NoConductorError(
            "two conductors of the job have one name; drop and fuse need to tell them apart"
        )
    by_run = {route.run: route for route in routes}
    return ElectricalQuestion(job, profile, practice, network, circuit, surroundings, by_run, hot)
