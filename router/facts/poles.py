"""Which conductors end at a terminal on the supply's side (plus), and which bring current back (minus)."""

from __future__ import annotations

from dataclasses import dataclass

from router.model.job import Conductor, Job
from router.model.vehicle import Profile


@dataclass(frozen=True, slots=True)
class Poles:
    """Names of the conductors that end at one terminal, by pole, in the job's order."""

    plus: tuple[str, ...]
    minus: tuple[str, ...]

    @property
    def are_both(self) -> bool:
        """Return whether both poles end there: one stud cannot take them."""
        return bool(self.plus and self.minus)


def poles_at(job: Job, terminal: str) -> Poles:
    """Return what ends at a terminal; what returns another conductor's current is minus, all else plus."""
    ending = [each for run in job.runs if terminal in (run.start, run.end) for each in run.conductors]
    return Poles(_names(ending, is_return=False), _names(ending, is_return=True))


def stud_of(job: Job, profile: Profile, terminal: str, conductor: str) -> str | None:
    """Return the stud on which a conductor ends at a terminal, by its pole; None where that is a connector.

    Parameters
    ----------
    job : Job
    profile : Profile
    terminal, conductor : str
        Their names.
    """
    is_return = any(each.name == conductor and each.returns for run in job.runs for each in run.conductors)
    return profile.terminal(terminal).stud_for(is_return=is_return)


def _names(conductors: list[Conductor], *, is_return: bool) -> tuple[str, ...]:
    return tuple(each.name for each in conductors if bool(each.returns) is is_return)
