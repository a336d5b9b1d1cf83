"""Records behave as the standard library's frozen dataclasses with slots, which are the reference here."""

from __future__ import annotations

import copy
import pickle
from dataclasses import FrozenInstanceError, asdict, dataclass, field, fields, replace

import pytest

from router.records import Record


class Stud(Record):
    """Made by us."""

    name: str
    thread: str = "M6"
    turns: tuple[int, ...] = ()

    @property
    def title(self) -> str:
        return f"{self.name}, {self.thread}"


class Alone(Record):
    value: float


@dataclass(frozen=True, slots=True)
class Reference:
    """Made by the standard library from the same lines."""

    name: str
    thread: str = "M6"
    turns: tuple[int, ...] = ()


CALLS = (
    (("earth",), {}),
    (("earth", "M8"), {}),
    (("earth", "M8", (1, 2)), {}),
    (("earth",), {"turns": (3,)}),
    ((), {"name": "earth", "thread": "1/4 in"}),
)
BAD_CALLS = (((), {}), (("a", "b", (), "d"), {}), (("a",), {"name": "b"}), (("a",), {"size": "M6"}))


@pytest.mark.parametrize(("values", "named"), CALLS)
def test_takes_values_as_the_reference_does(values, named):
    own, reference = Stud(*values, **named), Reference(*values, **named)
    assert asdict(own) == asdict(reference)
    assert repr(own) == repr(reference).replace("Reference", "Stud")
    assert own.title == f"{reference.name}, {reference.thread}"


@pytest.mark.parametrize(("values", "named"), BAD_CALLS)
@pytest.mark.parametrize("kind", [Stud, Reference])
def test_refuses_what_the_reference_refuses(kind, values, named):
    for _first_or_later in range(2):
        with pytest.raises(TypeError, match="__init__"):
            kind(*values, **named)


@pytest.mark.parametrize("kind", [Stud, Reference])
def test_is_frozen(kind):
    record = kind("earth")
    with pytest.raises(FrozenInstanceError):
        record.name = "battery"
    with pytest.raises(FrozenInstanceError):
        del record.name
    with pytest.raises((FrozenInstanceError, TypeError)):  # the reference's own words differ by version
        record.other = 1
    assert record.name == "earth"
    assert not hasattr(record, "__dict__")


@pytest.mark.parametrize("kind", [Stud, Reference])
def test_is_equal_by_its_values_and_its_kind(kind):
    assert kind("earth") == kind("earth", "M6", ())
    assert kind("earth") != kind("earth", "M8")
    assert len({kind("earth"), kind("earth"), kind("earth", "M8")}) == 2
    assert kind("earth") != ("earth", "M6", ())
    assert Alone(1.0) == Alone(1.0) != Alone(2.0)
    assert Stud("earth") != Reference("earth")


@pytest.mark.parametrize("kind", [Stud, Reference])
def test_is_replaced_copied_and_pickled(kind):
    record = kind("earth", turns=(1, 2))
    assert replace(record, thread="M8") == kind("earth", "M8", (1, 2))
    with pytest.raises(TypeError):
        replace(record, size="M8")
    for again in (copy.copy(record), copy.deepcopy(record), pickle.loads(pickle.dumps(record))):
        assert again == record
    assert [each.name for each in fields(kind)] == ["name", "thread", "turns"]


@pytest.mark.parametrize("kind", [Stud, Reference])
def test_is_matched_by_place(kind):
    match kind("earth", "M8"):
        case Stud(name, thread) | Reference(name, thread):
            assert (name, thread) == ("earth", "M8")
        case _:
            pytest.fail("not matched")


def test_what_is_no_plain_value_is_refused_as_a_default():
    with pytest.raises(TypeError, match="default is a value"):

        class Wrong(Record):
            names: list[str] = field(default_factory=list)


def test_one_value_is_enough():
    assert repr(Alone(1.5)) == "Alone(value=1.5)"
    assert pickle.loads(pickle.dumps(Alone(1.5))) == Alone(1.5)
