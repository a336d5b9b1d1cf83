"""A fuse before filament lamps must bear the moment at which they light up cold.

A cold tungsten filament resists less than a tenth of a hot one (Jones and Langmuir 1927: 5.65 microhm cm at
300 K, about 74 at 2500 K; from memory). The rule of the default practice, that lamps load a fuse to half, is
common practice, no source; here it is held against heat: the surge, ten times the current and falling with a
time constant of 20 ms (common practice, no source), gives I2t = (10 I)^2 x 0.020 s / 2. A blade fuse does not
clear sooner than 0.04 s at 350 % of its rating (ISO 8820-3 type C, lower limit, from memory).
"""

from __future__ import annotations

import pytest
from conductor_cases import AUTO, a_circuit_job, a_return, by_name, choose, fuse_of, kinds
from small_vehicle import a_conductor, a_run

from router.conductors.limits import is_within
from router.model.job import Duty, Fuse, Job, Lamps
from router.model.plan import Severity

P21W_A = 26.5 / 13.5  # UN Regulation 37


def with_lamps(count: int = 1, duty: Duty = Duty.INTERMITTENT, fuse: Fuse = AUTO) -> Job:
    lamps = Lamps(count, "P21W", P21W_A, 13.5, "UN Regulation 37, data sheet P21W", "from memory")
    lamp = a_conductor("lamp", load_a=count * P21W_A, duty=duty, lamps=(lamps,))
    return a_circuit_job(
        a_run("lamp", conductors=(lamp,), fuse=fuse),
        a_run("earth", "unit", "rear earth stud", conductors=(a_return("earth", "lamp"),)),
        drop=0.1,
    )


def surge_a2s(current_a: float, beside_a: float = 0.0) -> float:
    """Return the integral of (beside + 10 I exp(-t / 20 ms))^2 - beside^2 over all time."""
    return (10 * current_a) ** 2 * 0.020 / 2 + 2 * beside_a * 10 * current_a * 0.020


def bears_a2s(rating_a: float) -> float:
    return (3.5 * rating_a) ** 2 * 0.04


def test_one_lamp_of_21_w_has_no_fuse_of_2_a() -> None:
    """1.963 A x 2 = 3.93 A: the next rating up is 4 A."""
    found = choose(with_lamps())
    rating_a = fuse_of(found, "lamp").rating_a
    assert rating_a == 4.0
    assert bears_a2s(2.0) < surge_a2s(P21W_A) < bears_a2s(rating_a)
    assert all(is_within(rating_a, choice.ampacity_a) for choice in by_name(found).values())


@pytest.mark.parametrize(("count", "rating_a"), [(1, 4.0), (2, 10.0), (4, 20.0), (6, 25.0)])
@pytest.mark.parametrize("duty", list(Duty))
def test_lamps_load_a_fuse_to_half_whatever_their_duty(count: int, rating_a: float, duty: Duty) -> None:
    """By hand: 3.93, 7.85, 15.7, 23.6 A; a lamp on for hours counts twice too, not 2 x 1.25 times."""
    found = choose(with_lamps(count, duty))
    assert fuse_of(found, "lamp").rating_a == rating_a
    assert surge_a2s(count * P21W_A) < bears_a2s(rating_a)
    (why,) = [r.what for r in fuse_of(found, "lamp").reasons if r.what.startswith("load counts")]
    assert f"lamps that light up cold together (lamp), which draw {count * P21W_A:.4g} A then, x 2" in why


def test_a_trailers_lamps_on_several_conductors_ask_for_no_more_than_the_usual_10_a() -> None:
    """Six 5 W lamps lit for hours, left and right indicator: 10 A (common practice, no source).

    By hand, UN Regulation 37's greatest powers at 13.5 V: 2.444 A x 1.25 + 1.963 A + 1.963 A is 6.981 A hot.
    Cold, the tail lamps count 4.889 A, and both indicators, which the hazard warning lights at once, 7.852 A.
    """
    tail = Lamps(6, "R5W", 5.5 / 13.5, 13.5, "UN Regulation 37, data sheet R5W", "from memory")
    side = Lamps(1, "P21W", P21W_A, 13.5, "UN Regulation 37, data sheet P21W", "from memory")
    cores = [
        a_conductor("tail", load_a=6 * 5.5 / 13.5, lamps=(tail,), fed_by="supply", switch="tail"),
        *(
            a_conductor(
                name, load_a=P21W_A, duty=Duty.INTERMITTENT, lamps=(side,), fed_by="supply", switch="hazard"
            )
            for name in ("left", "right")
        ),
    ]
    job = a_circuit_job(
        a_run("supply", conductors=(a_conductor("supply", load_a=0.0),), fuse=AUTO),
        a_run("lead", "unit", "socket", conductors=tuple(cores)),
        drop=0.2,
    )
    fuse = fuse_of(choose(job, 2000.0))
    assert fuse.rating_a in (7.5, 10.0)
    assert surge_a2s(6 * 5.5 / 13.5, beside_a=2 * P21W_A) < bears_a2s(fuse.rating_a)
    assert any(
        "load counts 7.852 A" in reason.what and "for good it counts 6.981 A" in reason.what
        for reason in fuse.reasons
    )


@pytest.mark.parametrize(
    ("switches", "rating_a"),
    [
        (("tail", "tail"), 20.0),  # 4 P21W light up at once: 7.852 A x 2 is 15.7 A
        (("front", "rear"), 10.0),  # 2 and 2: 7.852 A, and for good 7.852 A
        ((None, None), 20.0),  # nobody said: as if at once
        (("front", None), 10.0),
    ],
)
def test_lamps_of_several_conductors_count_together_where_one_switch_lights_them(switches, rating_a) -> None:
    """By hand, common practice: the lamps that one switch lights load a fuse to half."""
    two = Lamps(2, "P21W", P21W_A, 13.5, "UN Regulation 37, data sheet P21W", "from memory")
    cores = tuple(
        a_conductor(
            f"lamps {number}", load_a=2 * P21W_A, duty=Duty.INTERMITTENT, lamps=(two,), fed_by="supply",
            switch=switch,
        )
        for number, switch in enumerate(switches)
    )  # fmt: skip
    job = a_circuit_job(
        a_run("supply", conductors=(a_conductor("supply", load_a=0.0),), fuse=AUTO),
        a_run("lead", "unit", "socket", conductors=cores),
        drop=0.2,
    )
    assert fuse_of(choose(job, 2000.0)).rating_a == rating_a


def test_a_load_that_is_no_lamp_counts_as_before() -> None:
    """8 A continuous x 1.25 is 10 A (NEC 210.20(A), from memory)."""
    job = a_circuit_job(a_run("supply", conductors=(a_conductor(load_a=8.0),), fuse=Fuse(None)), drop=0.2)
    assert fuse_of(choose(job)).rating_a == 10.0


def test_a_named_fuse_too_small_for_cold_lamps_is_told_and_one_too_small_for_good_is_a_must() -> None:
    for rating_a, severity in ((2.0, Severity.SHOULD), (1.0, Severity.MUST)):
        found = choose(with_lamps(fuse=Fuse(rating_a)))
        (finding,) = [each for each in found.findings if each.kind == "fuse"]
        assert finding.severity is severity
    assert "fuse" not in kinds(choose(with_lamps(fuse=Fuse(4.0))))
