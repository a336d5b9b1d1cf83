"""The door for programs: what the commands do, as functions that take paths or mappings and return records.

What a function needs is imported when it is called: to ask for the library reads in no search.
"""

from __future__ import annotations

import contextlib
import math
from base64 import b64encode
from collections.abc import Mapping
from dataclasses import dataclass
from html import escape
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Literal, TypeAlias

from router.errors import NoAnswerError, UnreadableError
from router.tolerances import DEFAULT_GAP, LEAST_GAP

if TYPE_CHECKING:
    from router.model.conductor_choice import ConductorChoice, FuseChoice
    from router.model.fixing import Fixing
    from router.model.plan import (
        Allowance,
        BillLine,
        ClearanceCheck,
        Finding,
        Loom,
        OtherEnd,
        Passage,
        RoutePoint,
        RunPlan,
        Station,
    )
    from router.model.plan import Plan as PlanRecord
    from router.model.review import Judgement

Given: TypeAlias = str | Path | Mapping[str, object]
"""A path, a name in the library, or what such a file holds, with the same keys and quantities."""
SeenFrom: TypeAlias = Literal["below", "above"]
Paper: TypeAlias = Literal["a4", "a3", "letter", "tabloid"]


@dataclass(frozen=True, slots=True, repr=False)
class PlannedRun:
    """One run of a plan: its way, its length, what is in it and what holds it. Lengths in mm.

    Attributes
    ----------
    record : router.model.plan.RunPlan
        Everything about the run, as the trades made it.
    """

    record: RunPlan

    @property
    def name(self) -> str:
        """Return its name in the job."""
        return self.record.name

    @property
    def start(self) -> str:
        """Return the terminal that it begins at; stations count from there."""
        return self.record.start

    @property
    def end(self) -> str:
        """Return the terminal that it ends at."""
        return self.record.end

    @property
    def other_ends(self) -> tuple[OtherEnd, ...]:
        """Return where else the job lets it begin or end, and what the whole job would take with that."""
        return self.record.other_ends

    @property
    def routed_mm(self) -> float:
        """Return the true length of its way from end to end, rises and drops included. [mm]"""
        return self.record.length.routed_mm

    @property
    def cut_mm(self) -> float:
        """Return how long to cut its conductors: routed length and allowances, rounded up. [mm]"""
        return self.record.length.cut_mm

    @property
    def uncertainty_mm(self) -> float:
        """Return the expanded uncertainty of its length, k = 2, by JCGM 100:2008 (GUM). [mm]"""
        return self.record.length.uncertainty_mm

    @property
    def allowances(self) -> tuple[Allowance, ...]:
        """Return what its length is longer by than its way, each with its reason and its rule."""
        return self.record.length.allowances

    @property
    def effort_mm(self) -> float:
        """Return the effort of its way: metres weighted by the practice's factors, and amounts. [mm]"""
        return self.record.route.effort_mm

    @property
    def gap(self) -> float:
        """Return how far its effort is at most from the best it has alone: effort <= (1 + gap) x best."""
        return self.record.route.gap

    @property
    def points(self) -> tuple[RoutePoint, ...]:
        """Return the corners of its way: space, x rearward, y right, z up, and station. [mm]"""
        return self.record.route.points

    @property
    def passages(self) -> tuple[Passage, ...]:
        """Return what it passes: members, openings, covers, exposed and warm stretches, by station."""
        return self.record.route.passages

    @property
    def stations(self) -> tuple[Station, ...]:
        """Return what an installer comes to along it, in its order."""
        return self.record.stations

    @property
    def fixings(self) -> tuple[Fixing, ...]:
        """Return what holds it, numbered from its start."""
        return self.record.fixings

    @property
    def clearances(self) -> tuple[ClearanceCheck, ...]:
        """Return how near it comes to each keep-out, the tightest first."""
        return self.record.clearances

    @property
    def conductors(self) -> tuple[ConductorChoice, ...]:
        """Return its conductors as chosen, in the job's order."""
        return self.record.conductors

    @property
    def fuse(self) -> FuseChoice | None:
        """Return its fuse; None where the job asks for none."""
        return self.record.fuse

    def __repr__(self) -> str:
        return (
            f'<PlannedRun "{self.name}": {self.start} to {self.end}, '
            f"{self.routed_mm:.0f} mm routed, {self.cut_mm:.0f} mm cut>"
        )


@dataclass(frozen=True, slots=True, repr=False)
class Plan:
    """The answer to a job. A notebook shows its map; two are equal where everything in them is.

    Attributes
    ----------
    record : router.model.plan.Plan
        Everything, as the trades made it: the job, the vehicle and the rules too.

    Examples
    --------
    >>> planned = plan("examples/work-lamp-rear-battery")
    >>> planned.job, planned.vehicle
    ('Rear work lamp, battery at the back', 'Sanderling estate, battery at the back')
    >>> planned.runs["supply"].start
    'battery positive'
    """

    record: PlanRecord

    @property
    def job(self) -> str:
        """Return the job's name."""
        return self.record.job.name

    @property
    def vehicle(self) -> str:
        """Return the vehicle's name, and its variant where it is one."""
        profile = self.record.profile
        return f"{profile.name}, {profile.variant}" if profile.variant else profile.name

    @property
    def runs(self) -> Mapping[str, PlannedRun]:
        """Return its runs by name, in the job's order."""
        return MappingProxyType({run.name: PlannedRun(run) for run in self.record.runs})

    @property
    def gap(self) -> float:
        """Return how far the whole job's effort is at most from the best: effort <= (1 + gap) x best."""
        return self.record.gap

    @property
    def is_proven(self) -> bool:
        """Return whether it is whole; what a planner hands over first has no proof and no reasons."""
        return math.isfinite(self.record.gap)

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Return what a person must know about it, the weightiest first."""
        return self.record.findings

    @property
    def bill(self) -> tuple[BillLine, ...]:
        """Return what to fetch."""
        return self.record.bill

    @property
    def looms(self) -> tuple[Loom, ...]:
        """Return its covered bundles; where runs lie together they share one."""
        return self.record.looms

    def map_svg(self, *, seen_from: SeenFrom = "below", paper: Paper = "a4") -> str:
        """Return the map as one SVG document, in true scale for the paper.

        Parameters
        ----------
        seen_from : {"below", "above"}
            "below" is mirrored, as someone under the vehicle sees it.
        paper : {"a4", "a3", "letter", "tabloid"}
            Always on its side; as many sheets as it takes, one under the other.

        Returns
        -------
        str
            The document; it holds no script and fetches nothing.

        Raises
        ------
        ValueError
            For another paper or place to look from.
        """
        from router.drawing import draw_map

        return draw_map(self.record, seen_from=seen_from, paper=paper)

    def circuit_svg(self) -> str:
        """Return the circuit diagram as the text of one SVG document, one line a conductor."""
        from router.drawing import draw_circuit

        return draw_circuit(self.record)

    def sheet_html(self, *, seen_from: SeenFrom = "below", paper: Paper = "a4") -> str:
        """Return the sheet to work from as one HTML page, its map included.

        Parameters
        ----------
        seen_from, paper
            As `map_svg`.

        Returns
        -------
        str
            The page; it holds no script and fetches nothing.

        Raises
        ------
        ValueError
            As `map_svg`.
        """
        from router.facts import plan_number
        from router.sheet import make_sheet

        drawn = self.map_svg(seen_from=seen_from, paper=paper)
        return make_sheet(self.record, drawn, "", plan_number(self.record), self.circuit_svg())

    def save(
        self, folder: str | Path, *, seen_from: SeenFrom = "below", paper: Paper = "a4"
    ) -> tuple[Path, ...]:
        """Write map.svg, circuit.svg, sheet.html, bill.csv, plan.json and route.yaml, all or none.

        The bytes are those that the command `underbody plan` writes.

        Parameters
        ----------
        folder : str or pathlib.Path
            Made where it is not there yet.
        seen_from, paper
            As `map_svg`.

        Returns
        -------
        tuple of pathlib.Path
            The files, in the order above.

        Raises
        ------
        OSError
            They cannot be written; what was there before is as it was.
        ValueError
            As `map_svg`; or it is an answer only, see `is_proven`.
        """
        from router.writing import files_of_plan, write_whole

        if not self.is_proven:
            raise ValueError("nothing of it is proven yet; save what the planner's plan() returns")
        contents = files_of_plan(self.record, seen_from=seen_from, paper=paper)
        files = {Path(folder) / name: content for name, content in contents.items()}
        write_whole(files)
        return tuple(files)

    def __repr__(self) -> str:
        runs, findings = _count(self.record.runs, "run"), _count(self.findings, "finding")
        return f'<Plan "{self.job}" on {self.vehicle}: {runs}, {findings}>'

    def _repr_html_(self) -> str:
        """Return the map as a picture, which runs nothing, and the summary."""
        from router.writing import summarise

        picture = b64encode(self.map_svg().encode()).decode()
        return (
            f'<img src="data:image/svg+xml;base64,{picture}" alt="{escape(f"Map of {self.job}")}" '
            f'style="max-width: 100%">\n<pre>{escape(summarise(self.record))}</pre>'
        )


@dataclass(frozen=True, slots=True, repr=False)
class Review:
    """A route judged against the vehicle and the rules of a job.

    Attributes
    ----------
    record : router.model.review.Judgement
        Everything that the review says: points by finding, clearances, what the planned way would have saved.
    """

    record: Judgement

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Return what is wrong with the route, the weightiest first."""
        return tuple(each.finding for each in self.record.findings)

    @property
    def mark(self) -> int:
        """Return the mark, out of 100, by the practice's group "marking"."""
        return self.record.mark

    @property
    def stands(self) -> bool:
        """Return whether no must-rule is broken."""
        return self.record.stands

    def __repr__(self) -> str:
        verdict = "stands" if self.stands else "falls"
        name, findings = self.record.drawn.name, _count(self.findings, "finding")
        return f'<Review of "{name}": {verdict}, {self.mark} of 100, {findings}>'


def plan(
    job: Given,
    *,
    profile: Given | None = None,
    practice: Given | None = None,
    variant: str | None = None,
    gap: float = DEFAULT_GAP,
    trusts_paths: bool = False,
) -> Plan:
    """Plan a job.

    Parameters
    ----------
    job : str, pathlib.Path or mapping
        A job file, a folder with a job.yaml in it, or what such a file holds: the same keys, quantities as
        the same strings ("9 A", "2.5 mm2"). Paths within a mapping are seen from the working folder.
    profile : str, pathlib.Path or mapping, optional
        The vehicle, in place of the one that the job names: a profile file, a name in the library (`profiles`
        lists them), or what such a file holds.
    practice : str, pathlib.Path or mapping, optional
        The rules, in place of those that the job names: a practice file, "default", "law", "voluntary", or
        what such a file holds.
    variant : str, optional
        The vehicle's variant, in place of the one that the job names.
    gap : float
        How much more effort than the best possible a route may be proven to take, 0.0001 to 1; less takes
        longer. [1]
    trusts_paths : bool
        Whether the job may name files anywhere. Without it, as it may be a stranger's: the library, and what
        is in its own folder and near above.

    Returns
    -------
    Plan
        Runs, findings, bill, looms; its files.

    Raises
    ------
    UnreadableError
        The question cannot be read: every fault of job, profile and practice at once.
    NoRouteError
        A run has no way; `pinch` says what stops it and where, and what would open one.
    NoConductorError
        No conductor, fuse or loom meets the limits.
    ValueError
        The gap is out of its range.

    Examples
    --------
    >>> planned = plan("examples/work-lamp-rear-battery")
    >>> list(planned.runs)
    ['supply', 'earth']
    """
    checked_gap(gap)
    from router.planning import make_plan
    from router.reading import read_question

    question = read_question(job, practice, profile, variant, trusts_paths=trusts_paths)
    return Plan(make_plan(question.job, question.profile, question.practice, gap))


def checked_gap(gap: float) -> float:
    """Return a gap that may be asked for; ValueError where it is out of its range."""
    if not LEAST_GAP <= gap <= 1.0:
        raise ValueError(f"gap is {gap}; write a ratio from {LEAST_GAP:g} to 1, e.g. 0.005")
    return gap


def review(
    job: Given,
    route: Given,
    *,
    profile: Given | None = None,
    practice: Given | None = None,
    variant: str | None = None,
    trusts_paths: bool = False,
) -> Review:
    """Judge a route, whoever drew it, against the vehicle and the rules of a job.

    Parameters
    ----------
    job, profile, practice, variant, trusts_paths
        As `plan`.
    route : str, pathlib.Path or mapping
        A route file, an SVG drawing over a blank map of the job, or what a route file holds.

    Returns
    -------
    Review
        Findings, and a mark; the route is compared with the planned one, where there is one.

    Raises
    ------
    UnreadableError
        The question or the route cannot be read: every fault at once.

    Examples
    --------
    >>> straight = [{"space": "load area", "points": [[3325, -270], [3030, -585]]}]
    >>> earth = {"run": "earth", "way": straight}
    >>> by_eye = {"route": "By eye", "format": "route/1", "unit": "mm", "runs": [earth]}
    >>> judged = review("examples/work-lamp-rear-battery", by_eye)
    >>> judged.stands, "fixing missing" in {finding.kind for finding in judged.findings}
    (False, True)
    """
    from router.judging import judge_route
    from router.planning import make_plan
    from router.reading import read_question, read_route

    question = read_question(job, practice, profile, variant, trusts_paths=trusts_paths)
    asked = (question.job, question.profile, question.practice)
    drawn = read_route(route, question.job, question.profile)
    planned = None
    with contextlib.suppress(NoAnswerError):  # what was drawn is judged all the same
        planned = make_plan(*asked)
    return Review(judge_route(*asked, drawn, planned))


def load_plan(path: str | Path) -> Plan:
    """Return the plan that a plan.json holds: equal to the one that was written, its question included.

    Parameters
    ----------
    path : str or pathlib.Path
        A plan.json as `underbody plan` or `Plan.save` has written it.

    Returns
    -------
    Plan
        Its map, its sheet and its files are the same bytes again.

    Raises
    ------
    UnreadableError
        It is no plan.json, was changed or cut off since it was written, or an older version wrote it.

    Examples
    --------
    >>> load_plan("examples/no-way/job.yaml")  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    router.errors.UnreadableError: examples/no-way/job.yaml:1:1: is no whole JSON: ...
    """
    from router.writing import read_plan

    return Plan(read_plan(path))


def check(path: str | Path, *, trusts_paths: bool = False) -> tuple[str, ...]:
    """Return every fault of a profile, job, practice, route or fleet file, with those of what it names.

    Parameters
    ----------
    path : str or pathlib.Path
        The file, or a folder with a job or a fleet in it.
    trusts_paths : bool
        As for `plan`.

    Returns
    -------
    tuple of str
        Each `file:line:column: where: what was found; what to write`; empty where there is none.

    Examples
    --------
    >>> check("examples/work-lamp-rear-battery")
    ()
    """
    from router.reading import check_file

    try:
        check_file(path, trusts_paths=trusts_paths)
    except UnreadableError as error:
        return tuple(str(fault) for fault in error.faults)
    return ()


def profiles() -> tuple[str, ...]:
    """Return the names of the vehicles in the library, which a job names them by.

    Returns
    -------
    tuple of str
        In alphabetical order.

    Examples
    --------
    >>> "dunlin-lwb" in profiles()
    True
    """
    from router.reading import library

    return tuple(name for name, _ in library())


def _count(things: tuple[object, ...], noun: str) -> str:
    return f"{len(things)} {noun}" if len(things) == 1 else f"{len(things)} {noun}s"
