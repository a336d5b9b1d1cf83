"""Laws of the conductors trade: they hold for every job, whatever its figures."""

from __future__ import annotations

from dataclasses import replace

import pytest
from conductor_cases import BENCH, a_circuit_job, a_return, by_name, choose, straight, with_ends
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from small_vehicle import a_conductor, a_run, practice_with

from router.conductors import choose_conductors
from router.conductors.ampacity import ambient_factor, ampacities_along, table_value
from router.conductors.cable_sizes import ordinary_sizes, sizes_of
from router.conductors.copper_heat import copper_temperature_c
from router.conductors.drop import Share, common_gradient_v_per_m
from router.conductors.fuses import standard_fuses
from router.conductors.limits import is_within
from router.conductors.surroundings import Stretch, Surroundings
from router.errors import NoConductorError
from router.facts import bundles_of
from router.model.job import Conductor, Duty, Fuse, Job, LoadKind, Series
from router.model.plan import FindingKind, Passage, PassageKind, Severity
from router.model.vehicle import Fix, Support, SupportKind
from router.tables import insulation_classes_c

SETTINGS = settings(max_examples=150, deadline=None)
series_st = st.sampled_from(list(Series))
length_st = st.floats(200, 12_000)
load_st = st.floats(0.05, 25)
ambient_st = st.floats(0, 100)


@st.composite
def jobs(draw: st.DrawFn) -> tuple[Job, dict[str, float]]:
    """Draw a fused supply, branches fed by it or by each other, an earth for all, and lengths."""
    count = draw(st.integers(0, 4))
    conductors = [a_conductor("supply", load_a=draw(load_st), duty=draw(st.sampled_from(list(Duty))))]
    for number in range(count):
        feeder = draw(st.sampled_from([each.name for each in conductors]))
        conductors.append(a_conductor(f"branch {number}", load_a=draw(load_st), fed_by=feeder))
    runs = [
        a_run(each.name, f"end of {each.fed_by}" if each.fed_by else "battery positive",
              f"end of {each.name}", conductors=(each,), fuse=Fuse(None) if each.fed_by is None else None)
        for each in conductors
    ]  # fmt: skip
    if draw(st.booleans()):
        returned = [each.name for each in conductors if draw(st.booleans())] or ["supply"]
        runs.append(a_run("earth", "unit", "stud", conductors=(a_return("earth", *returned),)))
    lengths = {run.name: draw(length_st) for run in runs}
    job = a_circuit_job(
        *runs,
        series=draw(series_st),
        drop=draw(st.floats(0.02, 0.15)),
        insulation_c=draw(st.sampled_from([85.0, 105.0, 125.0])),
        ambient_c={"underfloor": draw(st.floats(0, 70))},
    )
    return job, lengths


def areas(job: Job, lengths: dict[str, float]) -> dict[str, float] | None:
    """Return the chosen areas by conductor, None where there is no answer."""
    try:
        return {name: choice.area_mm2 for name, choice in by_name(choose(job, lengths)).items()}
    except NoConductorError:
        return None


def assert_none_shrinks(light: dict[str, float] | None, heavy: dict[str, float] | None) -> None:
    if (
        heavy is not None
    ):  # the heavier job has an answer, so the lighter one must have one, and a thinner one
        assert light is not None
        assert {name: area for name, area in light.items() if heavy[name] < area} == {}


def with_conductor(job: Job, name: str, **changes: object) -> Job:
    def changed(conductor: Conductor) -> Conductor:
        return replace(conductor, **changes) if conductor.name == name else conductor

    runs = tuple(replace(run, conductors=tuple(changed(each) for each in run.conductors)) for run in job.runs)
    return replace(job, runs=runs)


@SETTINGS
@given(case=jobs(), factor=st.floats(1.0, 4.0), data=st.data())
def test_a_greater_load_never_shrinks_a_conductor(case, factor, data):
    job, lengths = case
    loaded = [each for run in job.runs for each in run.conductors if each.load_a > 0]
    chosen = data.draw(st.sampled_from(loaded))
    assert_none_shrinks(
        areas(job, lengths), areas(with_conductor(job, chosen.name, load_a=chosen.load_a * factor), lengths)
    )


@SETTINGS
@given(case=jobs(), load_a=load_st, length_mm=length_st, data=st.data())
def test_adding_a_load_never_shrinks_a_conductor(case, load_a, length_mm, data):
    job, lengths = case
    feeder = data.draw(st.sampled_from([run.name for run in job.runs if run.name != "earth"]))
    added = a_run(
        "added",
        f"end of {feeder}",
        "new lamp",
        conductors=(a_conductor("added", load_a=load_a, fed_by=feeder),),
    )
    more = replace(job, runs=(*job.runs, added))
    assert_none_shrinks(areas(job, lengths), areas(more, {**lengths, "added": length_mm}))


@SETTINGS
@given(case=jobs(), factor=st.floats(1.0, 3.0), data=st.data())
def test_longer_never_shrinks_a_conductor(case, factor, data):
    job, lengths = case
    name = data.draw(st.sampled_from(sorted(lengths)))
    assert_none_shrinks(areas(job, lengths), areas(job, {**lengths, name: lengths[name] * factor}))


@SETTINGS
@given(case=jobs(), warmer_c=st.floats(0, 30))
def test_hotter_never_shrinks_a_conductor(case, warmer_c):
    job, lengths = case
    ambient_c = {space: at_c + warmer_c for space, at_c in job.limits.ambient_c.items()}
    hotter = replace(job, limits=replace(job.limits, ambient_c=ambient_c))
    assert_none_shrinks(areas(job, lengths), areas(hotter, lengths))


@SETTINGS
@given(case=jobs())
def test_every_answer_keeps_to_every_limit(case):
    job, lengths = case
    try:
        found = choose(job, lengths)
    except NoConductorError:
        return
    choices = by_name(found)
    for choice in choices.values():
        assert is_within(choice.drop_v, job.limits.drop_fraction * job.source.nominal_v)
        assert is_within(choice.load_a, choice.ampacity_a)
    ratings = [fuse.rating_a for fuse in standard_fuses()]
    for fuse in found.fuses:
        assert fuse.rating_a in ratings
        assert is_within(choices[fuse.conductor].load_a, fuse.rating_a)
        assert all(is_within(fuse.rating_a, choice.ampacity_a) for choice in choices.values())
        assert 0 <= fuse.station_mm <= fuse.furthest_mm
    conductors = [conductor for run in job.runs for conductor in run.conductors]
    brought_back = {name for conductor in conductors for name in conductor.returns}
    loads = {conductor.name for conductor in conductors if conductor.load_a}
    kinds = {finding.kind for finding in found.findings}
    if not brought_back or loads <= brought_back:  # between the two a feeder's return may serve its branches
        assert ("no return" in kinds) == (not brought_back)
    # the earth drawn here begins at a terminal of its own, which is a gap: it is told or it is not
    assert kinds <= {
        "series",
        "short circuit",
        "no return",
        "broken return",
        "own fuse",
        FindingKind.ASSUMED_RESISTANCE,
    }


@SETTINGS
@given(load_a=st.floats(5, 15), supply_mm=st.floats(4000, 12_000), part=st.floats(0.3, 1.0), series=series_st)
def test_where_drop_decides_a_single_loop_one_size_thinner_all_along_it_breaks_the_limit(
    load_a, supply_mm, part, series
):
    supply = a_run("supply", conductors=(a_conductor("supply", load_a=load_a),))
    earth = a_run("earth", "unit", "stud", conductors=(a_return("earth", "supply"),))
    job, lengths = (
        a_circuit_job(supply, earth, series=series),
        {"supply": supply_mm, "earth": part * supply_mm},
    )
    try:
        choices = by_name(choose(job, lengths))
    except NoConductorError:
        return
    assume(all(choice.decided_by == "drop" for choice in choices.values()))
    order = [size.label for size in ordinary_sizes(series)]
    named = job
    for name, choice in choices.items():
        thinner = order[order.index(choice.size) - 1].removesuffix(" (SAE)")
        named = with_conductor(named, name, size=thinner)
    lost_v = by_name(choose(named, lengths))["supply"].drop_v
    assert not is_within(lost_v, job.limits.drop_fraction * job.source.nominal_v)


@SETTINGS
@given(case=jobs(), data=st.data())
def test_thicker_never_drops_more(case, data):
    job, lengths = case
    job = with_named_sizes(job, data)
    marks = [size.label.removesuffix(" (SAE)") for size in sizes_of(job.series)]
    name = data.draw(st.sampled_from(sorted(lengths)))
    thin, thick = sorted(data.draw(st.tuples(st.integers(0, len(marks) - 1), st.integers(0, len(marks) - 1))))
    drops = [by_name(choose(with_conductor(job, name, size=marks[n]), lengths)) for n in (thin, thick)]
    assert len(drops[0]) == len(drops[1]) == len(lengths) > 0
    for each in drops[0]:
        assert drops[1][each].drop_v <= drops[0][each].drop_v + 1e-12


def with_named_sizes(job, data):
    """Return a job without fuses whose every size is named, so that nothing is chosen or refused."""
    job = replace(job, runs=tuple(replace(run, fuse=None) for run in job.runs))
    marks = [size.label.removesuffix(" (SAE)") for size in sizes_of(job.series)]
    for conductor in [each for run in job.runs for each in run.conductors]:
        job = with_conductor(job, conductor.name, size=data.draw(st.sampled_from(marks)))
    return job


@SETTINGS
@given(case=jobs(), factor=st.floats(1.0, 3.0), data=st.data())
def test_longer_never_drops_less(case, factor, data):
    job, lengths = case
    job = with_named_sizes(job, data)
    name = data.draw(st.sampled_from(sorted(lengths)))
    short, long = (
        by_name(choose(job, each)) for each in (lengths, {**lengths, name: lengths[name] * factor})
    )
    assert len(short) == len(long) == len(lengths) > 0
    assert all(long[each].drop_v >= short[each].drop_v - 1e-12 for each in short)


@SETTINGS
@given(case=jobs(), warmer_c=st.floats(0, 60), data=st.data())
def test_hotter_never_carries_more_nor_drops_less(case, warmer_c, data):
    job, lengths = case
    job = with_named_sizes(job, data)
    ambient_c = {space: at_c + warmer_c for space, at_c in job.limits.ambient_c.items()}
    hotter = replace(job, limits=replace(job.limits, ambient_c=ambient_c))
    cool, hot = by_name(choose(job, lengths)), by_name(choose(hotter, lengths))
    assert len(cool) == len(hot) == len(lengths) > 0
    for each in cool:
        assert hot[each].ampacity_a <= cool[each].ampacity_a + 1e-12
        assert hot[each].drop_v >= cool[each].drop_v - 1e-12


@SETTINGS
@given(case=jobs(), data=st.data())
def test_loads_that_are_never_on_together_never_thicken_a_conductor(case, data):
    job, lengths = case
    loaded = [each.name for run in job.runs for each in run.conductors if each.load_a > 0]
    assume(len(loaded) > 1)
    one, other = data.draw(st.permutations(loaded))[:2]
    assert_none_shrinks(areas(with_conductor(job, one, never_with=(other,)), lengths), areas(job, lengths))


@SETTINGS
@given(
    copper_mm2=st.floats(0.25, 120),
    more=st.floats(1, 3),
    class_c=st.sampled_from([60, 75, 80, 90, 105, 125, 200]),
)
def test_thicker_never_carries_less_in_the_table(copper_mm2, more, class_c):
    thin, thick = table_value(copper_mm2, class_c), table_value(copper_mm2 * more, class_c)
    assume(thin is not None)
    assert thick is not None
    assert thick.amperes >= thin.amperes


@SETTINGS
@given(
    class_c=st.sampled_from([60, 75, 80, 90, 105, 125, 200]),
    one_c=st.floats(-40, 250),
    other_c=st.floats(-40, 250),
)
def test_hotter_never_carries_more(class_c, one_c, other_c):
    cool_c, hot_c = sorted((one_c, other_c))
    assert ambient_factor(class_c, hot_c) <= ambient_factor(class_c, cool_c)


shares_st = st.lists(
    st.builds(
        lambda length_m, lightest, share: Share(length_m, lightest, lightest * share),
        st.floats(0.1, 20),
        st.floats(0.001, 0.5),
        st.floats(0.01, 1),
    ),
    min_size=1,
    max_size=6,
)


@SETTINGS
@given(shares=shares_st, part=st.floats(0.0, 1.0))
def test_the_common_gradient_uses_the_budget_up(shares, part):
    least_v = sum(share.length_m * share.heaviest_v_per_m for share in shares)
    most_v = sum(share.length_m * share.lightest_v_per_m for share in shares)
    budget_v = least_v + part * (most_v - least_v)
    gradient = common_gradient_v_per_m(shares, budget_v)
    assert gradient is not None
    lost_v = sum(
        share.length_m
        * min(max(gradient * share.length_m**-0.25, share.heaviest_v_per_m), share.lightest_v_per_m)
        for share in shares
    )
    assert lost_v == pytest.approx(budget_v, rel=1e-8)
    assert common_gradient_v_per_m(shares, least_v * 0.999) is None


@SETTINGS
@given(load_a=load_st, long_mm=length_st, part=st.floats(0.05, 1.0), series=series_st)
def test_of_one_current_the_shorter_conductor_is_never_the_thicker(load_a, long_mm, part, series):
    supply = a_run("supply", conductors=(a_conductor("supply", load_a=load_a),))
    earth = a_run("earth", "unit", "stud", conductors=(a_return("earth", "supply"),))
    job = a_circuit_job(supply, earth, series=series)
    found = areas(job, {"supply": long_mm, "earth": part * long_mm})
    assert found is None or found["earth"] <= found["supply"]


def ratings(job: Job, lengths: dict[str, float]) -> dict[str, float] | None:
    """Return the chosen fuses by run, None where there is no answer."""
    try:
        return {fuse.run: fuse.rating_a for fuse in choose(job, lengths).fuses}
    except NoConductorError:
        return None


@SETTINGS
@given(case=jobs(), factor=st.floats(1.0, 3.0), warmer_c=st.floats(0, 30), less=st.floats(0.5, 1.0))
def test_longer_hotter_or_a_lesser_drop_never_shrinks_a_conductor_nor_enlarges_a_fuse(
    case, factor, warmer_c, less
):
    job, lengths = case
    ambient_c = {space: at_c + warmer_c for space, at_c in job.limits.ambient_c.items()}
    limits = replace(job.limits, ambient_c=ambient_c, drop_fraction=job.limits.drop_fraction * less)
    worse, longer = replace(job, limits=limits), {run: factor * mm for run, mm in lengths.items()}
    assert_none_shrinks(areas(job, lengths), areas(worse, longer))
    before, after = ratings(job, lengths), ratings(worse, longer)
    grown = (
        {run: rating_a for run, rating_a in before.items() if after[run] != rating_a}
        if before and after
        else {}
    )
    assert all(after[run] > before[run] for run in grown)
    assert all(is_unfit(worse, longer, run, rating_a) for run, rating_a in grown.items())


def is_unfit(job: Job, lengths: dict[str, float], run: str, rating_a: float) -> bool:
    """Return whether a run's fuse, asked for by its rating, is not borne by its holder where it sits.

    Only then is a larger one taken where it is hotter: one of a family whose holder bears it.
    """
    runs = tuple(replace(r, fuse=Fuse(rating_a)) if r.name == run else r for r in job.runs)
    try:
        found = choose(replace(job, runs=runs), lengths).findings
    except NoConductorError as refusal:
        return "holder" in str(refusal)
    return any(each.severity is Severity.MUST and "holder" in each.fact for each in found)


@SETTINGS
@given(case=jobs(), kind=st.sampled_from(list(LoadKind)), factor=st.floats(1.0, 3.0), data=st.data())
def test_a_load_of_a_kind_or_a_greater_one_never_has_a_smaller_fuse_nor_a_thinner_conductor(
    case, kind, factor, data
):
    job, lengths = case
    loaded = [each for run in job.runs for each in run.conductors if each.load_a > 0]
    chosen = data.draw(st.sampled_from(loaded))
    of_kind = with_conductor(job, chosen.name, kind=kind)
    greater = with_conductor(of_kind, chosen.name, load_a=chosen.load_a * factor)
    for light, heavy in ((job, of_kind), (of_kind, greater)):
        assert_none_shrinks(areas(light, lengths), areas(heavy, lengths))
        before, after = ratings(light, lengths), ratings(heavy, lengths)
        assert after is None or before is not None
        assert after is None or all(after[run] >= rating_a for run, rating_a in (before or {}).items())


@SETTINGS
@given(
    copper_mm2=st.floats(0.25, 120),
    class_c=st.sampled_from(insulation_classes_c()),
    ambient_c=st.floats(-40, 300),
    warmer_c=st.floats(0, 100),
    loaded=st.floats(0, 1.5),
    neighbours=st.integers(1, 30),
)
def test_copper_lies_between_its_surroundings_and_its_class_and_never_cools_as_they_warm(
    copper_mm2, class_c, ambient_c, warmer_c, loaded, neighbours
):
    cool, warm = (
        ampacities_along(
            copper_mm2,
            class_c,
            Surroundings("run", (Stretch("space", 1000.0, at_c, False, neighbours),), 1000.0),
            is_bundling_counted=True,
        )[0]
        for at_c in (ambient_c, ambient_c + warmer_c)
    )
    assert warm.amperes <= cool.amperes + 1e-9
    current_a = loaded * cool.amperes
    copper_c = [
        copper_temperature_c(each.stretch.ambient_c, class_c, current_a, each.thermal_a)
        for each in (cool, warm)
    ]
    assert copper_c[0] <= copper_c[1] + 1e-9
    for each, at_c in zip((cool, warm), copper_c, strict=True):
        assert each.stretch.ambient_c - 1e-9 <= at_c <= max(class_c, each.stretch.ambient_c) + 1e-9


@SETTINGS
@given(case=jobs(), from_part=st.floats(0, 1), to_part=st.floats(0, 1), is_tied=st.booleans())
def test_something_hot_or_a_loom_beside_it_never_shrinks_a_conductor(case, from_part, to_part, is_tied):
    job, lengths = case
    routes, cut = straight(job, lengths)
    name = "the vehicle's own loom"
    low_mm, high_mm = (part * routes[0].routed_mm for part in sorted((from_part, to_part)))
    warm = Passage(PassageKind.WARM, "", low_mm, high_mm, None)
    points = tuple(replace(each, along=name if is_tied else None) for each in routes[0].points)
    worse = (replace(routes[0], points=points, passages=(warm,)), *routes[1:])
    row = Support(name, "underfloor", SupportKind.EXISTING_LOOM, ((0.0, 0.0), (9.0, 0.0)), 400.0, Fix.TIE)
    profile = with_ends(replace(BENCH, supports=(row,)), job)

    def chosen(ways):
        try:
            found = choose_conductors(job, profile, practice_with({}), ways, bundles_of(ways), cut)
        except NoConductorError:
            return None
        return {choice.name: choice.area_mm2 for choice in found.conductors}

    assert_none_shrinks(chosen(routes), chosen(worse))
