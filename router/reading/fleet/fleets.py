"""Fleets: a file, and the question of every job on every vehicle of it, one at a time.

A fleet may name thousands of profiles, so none is kept: questions come one after the other, and whoever
wants one again asks for it again.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path as FilePath
from typing import Any

from router.errors import Fault, UnreadableError
from router.model.fleet import Fleet, FleetVehicle, Reel, Stock
from router.model.practice import Practice
from router.model.vehicle import Profile
from router.reading.files import is_file, is_folder, shut_out
from router.reading.fleet.fleet_file import FleetFile
from router.reading.fleet.names_in_fleet import fleet_name_faults
from router.reading.job.jobs import faults_against, job_file
from router.reading.job.jobs import own_faults as job_faults
from router.reading.practice.practices import find_practice, read_practice
from router.reading.profile.known_names import names_in
from router.reading.profile.profiles import find_profile, make_profile, read_profile_document, unknown_variant
from router.reading.questions import Question, job_key, make_question
from router.reading.yaml.documents import Document, read_document
from router.reading.yaml.structure import sound, structure_faults
from router.reading.yaml.wording import Path
from router.units import parse_size

MOST_KEPT_PROFILES = 8
"""Profiles that are kept at hand; a fleet names the same few again and again, or each once."""


FLEET_FILE = "fleet.yaml"


def fleet_file(path: FilePath) -> FilePath:
    """Return a fleet's file, given itself or the folder that holds it as fleet.yaml."""
    return path / FLEET_FILE if is_folder(path) else path


@dataclass(frozen=True, slots=True)
class FleetQuestion:
    """One job on one vehicle of a fleet."""

    vehicle: int
    """Number of the vehicle in the file, from 0."""
    job: str
    """The fleet's name for it."""
    question: Question


class FleetReader:
    """An open fleet file.

    Parameters
    ----------
    path : str or pathlib.Path
        The file, or the folder that holds it as fleet.yaml.
    practice_path : str or pathlib.Path, optional
        Rules in place of those that the fleet or its jobs name.
    trusts_paths : bool
        Whether the fleet and its jobs may name files anywhere; see `router.reading.files`.

    Raises
    ------
    UnreadableError
        Where the file cannot be taken apart; every other fault comes from `questions`.
    """

    def __init__(
        self,
        path: str | FilePath,
        practice_path: str | FilePath | None = None,
        *,
        trusts_paths: bool = False,
    ) -> None:
        self._trusts_paths = trusts_paths
        self.path = fleet_file(FilePath(path))
        self._document = read_document(self.path)
        self._given = practice_path
        self._faults: dict[Fault, None] = dict.fromkeys(_own_faults(self._document))
        self._is_whole = not self._faults
        self._profile = lru_cache(maxsize=MOST_KEPT_PROFILES)(self._read_profile)
        self._practice = lru_cache(maxsize=MOST_KEPT_PROFILES)(self._read_practice)
        self._jobs = self._read_jobs()

    @property
    def fleet(self) -> Fleet:
        """Return the record of the file; only where it has no fault of its own."""
        file = FleetFile.model_validate(self._document.data)
        currencies = [reel.price[1] for stock in file.stock for reel in stock.reels if reel.price]
        return Fleet(
            name=file.fleet,
            practice=file.practice,
            jobs=tuple(file.jobs.items()),
            vehicles=tuple(self._vehicle(raw) for _, raw in self._raw_vehicles()),
            stock=tuple(
                Stock(
                    stock.item,
                    _size(stock.item, stock.size),
                    tuple(Reel(reel.length, reel.price[0] if reel.price else None) for reel in stock.reels),
                )
                for stock in file.stock
            ),
            currency=currencies[0] if currencies else "",
            cut_loss_mm=file.cut_loss,
            trim_mm=file.trim,
            spare=file.spare,
        )

    def questions(self) -> Iterator[FleetQuestion]:
        """Yield every job on every vehicle, in the file's order.

        Raises
        ------
        UnreadableError
            At the end: every fault of the fleet, its profiles, jobs and practices, at once. From the first
            fault on nothing more is yielded, and what was yielded before is not to be used.
        """
        for number, raw in self._raw_vehicles():
            profile = self._profile_of(number, raw)
            for path, name in self._job_names(number, raw):
                asked = self._question(number, name, path, profile)
                if asked and not self._faults:
                    yield asked
        if self._faults:
            own = self._document.file
            raise UnreadableError(tuple(sorted(self._faults, key=lambda each: (each.file != own, each))))

    def question(self, vehicle: int, job: str) -> Question:
        """Return one question again, read anew; UnreadableError where its files have faults by now."""
        raw = self._document.data["vehicles"][vehicle]
        profile = self._profile_of(vehicle, raw)
        asked = self._question(vehicle, job, ("vehicles", vehicle), profile)
        if asked is None:
            raise UnreadableError(tuple(self._faults))
        return asked.question

    def first_practice(self) -> Practice:
        """Return the rules for the first job; only where nothing has a fault."""
        practice = self._practice_of(next(iter(self._jobs)))
        assert practice is not None  # it would be a fault
        return practice

    def _question(self, number: int, name: str, path: Path, profile: Profile | None) -> FleetQuestion | None:
        document = self._jobs.get(name)
        practice = self._practice_of(name) if document else None
        if document is None or profile is None:
            return None
        unfit = faults_against(document, names_in(profile), profile)
        for fault in unfit:
            place = f"{fault.file}:{fault.line}:{fault.column}"
            words = f'{profile.key} does not take job "{name}": {fault.what} ({place})'
            self._add(self._document.fault(path, words))
        if unfit or practice is None or not self._is_whole:
            return None
        key, is_other = job_key(FilePath(document.file)), not self._is_own_profile(document, number)
        asked = make_question(document, key, profile, practice, is_other_vehicle=is_other)
        return FleetQuestion(number, name, asked)

    def _is_own_profile(self, document: Document, number: int) -> bool:
        """Return whether a vehicle is the one that a job names: its plan is that of the job by itself."""
        vehicle = self._document.data["vehicles"][number]
        if vehicle.get("variant") != document.data.get("variant"):
            return False
        own = self._found(document.data["profile"], FilePath(document.file).parent)
        found = self._found(vehicle["profile"], self.path.parent)
        return isinstance(own, FilePath) and isinstance(found, FilePath) and own.resolve() == found.resolve()

    def _raw_vehicles(self) -> Iterator[tuple[int, dict[str, Any]]]:
        held = self._document.data.get("vehicles")
        for number, raw in enumerate(held if isinstance(held, list) else []):
            if isinstance(raw, dict):
                yield number, raw

    def _vehicle(self, raw: dict[str, Any]) -> FleetVehicle:
        jobs = tuple(name for _, name in self._job_names(0, raw))
        name = raw.get("name") or vehicle_name(raw)
        return FleetVehicle(name, raw["profile"], raw.get("variant"), raw["count"], jobs)

    def _job_names(self, number: int, raw: dict[str, Any]) -> Iterator[tuple[Path, str]]:
        """Yield the jobs that a vehicle gets, each with the place that says so."""
        own = raw.get("jobs")
        if own is None:
            yield from ((("vehicles", number, "profile"), name) for name in self._jobs)
        elif isinstance(own, str):
            yield ("vehicles", number, "jobs"), own
        else:
            for index, name in enumerate(own if isinstance(own, list) else []):
                if isinstance(name, str):
                    yield ("vehicles", number, "jobs", index), name

    def _read_jobs(self) -> dict[str, Document | None]:
        """Return the jobs by name; None for one that has faults, which are noted."""
        named = self._document.data.get("jobs")
        jobs: dict[str, Document | None] = {}
        for name, path in named.items() if isinstance(named, dict) else ():
            jobs[name] = None
            if not isinstance(path, str):
                continue
            found = job_file(self.path.parent / path)
            if words := shut_out(found, self.path.parent, trusts_paths=self._trusts_paths):
                self._add(self._document.fault(("jobs", name), f'"{path}" {words}'))
                continue
            if not is_file(found):
                words = f'there is no job "{path}" beside the fleet; write a path from the fleet\'s folder'
                self._add(self._document.fault(("jobs", name), words))
                continue
            try:
                document = read_document(found)
                if faults := job_faults(document):
                    raise UnreadableError(faults)
            except UnreadableError as error:
                self._add(*error.faults)
            else:
                jobs[name] = document
        return jobs

    def _profile_of(self, number: int, raw: dict[str, Any]) -> Profile | None:
        """Return a vehicle's profile, or None where that has faults, which are noted."""
        named, variant = raw.get("profile"), raw.get("variant")
        if not isinstance(named, str):
            return None
        found = self._profile(named, variant if isinstance(variant, str) else None)
        if isinstance(found, Profile):
            return found
        if isinstance(found, UnreadableError):
            self._add(*found.faults)
        else:
            key, words = found
            self._add(self._document.fault(("vehicles", number, key), words))
        return None

    def _found(self, profile: str, folder: FilePath) -> FilePath | str:
        return find_profile(profile, folder, trusts_paths=self._trusts_paths)

    def _read_profile(self, named: str, variant: str | None) -> Profile | UnreadableError | tuple[str, str]:
        """Return a profile, the faults in its file, or the key of the fleet that is wrong with the words."""
        found = self._found(named, self.path.parent)
        if isinstance(found, FilePath) and not is_file(found):
            advice = "write a path from the fleet's folder, or a library name"
            found = f'there is no file "{named}" beside the fleet; {advice}'
        if isinstance(found, str):
            return "profile", found
        try:
            document = read_profile_document(found)
        except UnreadableError as error:
            return error
        if variant is not None and (words := unknown_variant(document, variant)):
            return "variant", words
        return make_profile(document, found.stem, variant)

    def _practice_of(self, job: str) -> Practice | None:
        """Return the rules for a job: those given, else the fleet's, else the job's own."""
        found = self._practice(job)
        if isinstance(found, Practice):
            return found
        self._add(*found)
        return None

    def _read_practice(self, job: str) -> Practice | tuple[Fault, ...]:
        asked: tuple[Document, FilePath] = (self._document, self.path.parent)
        document = self._jobs[job]
        if document is not None and "practice" not in self._document.data:
            asked = (document, FilePath(document.file).parent)
        named = asked[0].data.get("practice")
        found = None
        if isinstance(named, str) and self._given is None:
            found = find_practice(named, asked[1], trusts_paths=self._trusts_paths)
        if isinstance(found, str):
            return (asked[0].fault(("practice",), found.replace("the job", _kind(asked[0]))),)
        try:
            return read_practice(found or self._given)
        except UnreadableError as error:
            return error.faults

    def _add(self, *faults: Fault) -> None:
        self._faults.update(dict.fromkeys(faults))


def _size(item: str, size: str | None) -> str | None:
    """Return a size as the bill writes it."""
    return str(parse_size(size)) if size is not None and item == "conductor" else size


def vehicle_name(raw: dict[str, Any]) -> str:
    """Return what a vehicle without a name is called: its profile and its variant."""
    return ", ".join([FilePath(raw["profile"]).stem, *([raw["variant"]] if "variant" in raw else [])])


def _kind(document: Document) -> str:
    return "the fleet" if "fleet" in document.data else "the job"


def _own_faults(document: Document) -> tuple[Fault, ...]:
    found = [*document.faults, *structure_faults(document, FleetFile)]
    found += fleet_name_faults(sound(document, FleetFile))
    return tuple(sorted(set(found)))
