"""Acceptance checks: what this job should read on a meter, with blank boxes for what it does read."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from router.facts import network_of
from router.model.conductor_choice import ConductorChoice, LoadCase
from router.model.job import Conductor, Run
from router.model.plan import Plan, RunPlan
from router.model.vehicle import TerminalKind
from router.sheet.fetch import conductors_of
from router.sheet.finding_list import source_words
from router.sheet.markup import Html, element, group, joined, listed, table, tick
from router.sheet.trunk_text import conductor_name
from router.tables import lead_source, load_table

_BLANK = "_" * 8


def checks_section(plan: Plan) -> Html:
    """Return all checks in the order of the work: before the fuse goes in, with power, afterwards."""
    names = ("Fitted by, date", "Checked by, date")
    return joined(
        [
            element("h3", "Before the fuse goes in"),
            group(
                element("div", _continuity(plan), _jumpers(plan)),
                element("div", _pulls(plan), *_leads(plan)),
                kind="pair",
            ),
            _items("before_power", _shorts(plan)),
            element("h3", "With power"),
            group(_voltages(plan), _losses(plan), kind="pair"),
            _items("with_power"),
            *_of_lamps(plan),
            element("h3", "Afterwards"),
            _items("afterwards"),
            element("div", joined(element("div", name) for name in names), class_="sign"),
        ]
    )


def _of_lamps(plan: Plan) -> Iterator[Html]:
    """Yield what is to be looked at where lamps of the vehicle are tapped or a trailer's are fed."""
    network = network_of(plan.job, plan.profile)
    kinds = {each.name: each.kind for each in plan.profile.terminals}
    tapped = (each.terminal for each in network.feeds if not each.is_source)
    if any(kinds.get(name) is TerminalKind.LAMP for name in tapped):
        yield _items("lamps_tapped")
    if any(run.lead for run in plan.job.runs):
        yield _items("lead_fitted")


def _items(key: str, first: Iterable[object] = ()) -> Html:
    entries = load_table("acceptance")[key]
    checks = [_check(entry["check"], source_words(entry["source"], entry["status"])) for entry in entries]
    return listed([*map(tick, first), *checks], class_="plain columns")


def _check(words: str, source: str) -> Html:
    return tick(joined([words, element("span", source, class_="soft")], " "))


def _readings(
    caption: str, heads: Sequence[str], rows: Sequence[Sequence[object]], source: str, words: int = 1
) -> Html:
    """Return a table that ends in a blank column, and under it where its limits come from.

    The first `words` columns hold words, those up to the blank one figures.
    """
    if not rows:
        return Html("")
    shown = table(
        caption,
        (*heads, "Reads"),
        [(*row, _BLANK) for row in rows],
        range(words, len(heads)),
        is_narrow=True,
    )
    return joined([element("div", shown, element("p", source, class_="soft"))])


def _continuity(plan: Plan) -> Html:
    rows = [
        (
            conductor_name(run.name, choice.name) + (", holder bridged" if _is_fused(run, choice) else ""),
            _milliohms(choice.own_drop_v / choice.load_a),
            _milliohms(choice.own_drop_v / choice.load_a + _joints_allowance_ohm(choice.load_a)),
        )
        for run, choice in conductors_of(plan)
        if choice.load_a > 0
    ]
    volts, ohms = load_table("acceptance")["joint_drop"], load_table("acceptance")["joint_ohm"]
    by_volts, by_ohms = (source_words(each["source"], each["status"]) for each in (volts, ohms))
    source = (
        f"Should: warm, cold a little less. At most: {ohms['joints']} of its joints that lose "
        f"{volts['limit_v']:g} V more at its load ({by_volts}), yet none of more than "
        f"{ohms['limit_mohm']:g} mohm ({by_ohms}). A meter that tells no less than 0.1 ohm finds only a "
        "break: then the voltages with power decide."
    )
    caption = "End to end, both ends free, meter leads nulled"
    return _readings(caption, ("Conductor", "Should", "At most"), rows, source)


def _is_fused(run: RunPlan, choice: ConductorChoice) -> bool:
    return run.fuse is not None and run.fuse.conductor == choice.name


def _jumpers(plan: Plan) -> Html:
    """Return what makes a conductor readable end to end while its fuse holder is empty; both joints count."""
    names = [
        conductor_name(run.name, choice.name) for run, choice in conductors_of(plan) if _is_fused(run, choice)
    ]
    if not names:
        return Html("")
    words = (
        f"{', '.join(names)}: the empty fuse holder bridged with a jumper for this reading alone, the meter "
        "nulled through the jumper. Jumper out again."
    )
    return listed([tick(words)], class_="plain")


def _joints_allowance_ohm(load_a: float) -> float:
    """Return how much more than planned a conductor's joints may have, from end to end."""
    volts, ohms = load_table("acceptance")["joint_drop"], load_table("acceptance")["joint_ohm"]
    return float(ohms["joints"] * min(volts["limit_v"] / load_a, ohms["limit_mohm"] / 1000))


def _milliohms(resistance_ohm: float) -> str:
    return f"{1000 * resistance_ohm:.1f} mohm"


def _leads(plan: Plan) -> Iterator[Html]:
    return (_pins(plan, run) for run in plan.job.runs if run.lead)


def _pins(plan: Plan, run: Run) -> Html:
    """Return what is on which pin of the connector at a lead's end, to be measured through."""
    own = next(each for each in plan.runs if each.name == run.name)
    rows = [
        (
            f"{choice.pin}, {choice.function}" if choice.pin else choice.function,
            f"{conductor_name(run.name, choice.name)} ({choice.colour})",
        )
        for choice in sorted(own.conductors, key=lambda each: each.pin or 0)
        if choice.function
    ]
    source = source_words(*lead_source(run.lead or ""))
    caption = f"{run.lead} lead at {run.end}: each function on its pin"
    return _readings(caption, ("Pin", "Conductor"), rows, source, words=2)


def _pulls(plan: Plan) -> Html:
    rule = load_table("acceptance")["pull_test"]
    rows = []
    for size, area_mm2 in {choice.size: choice.area_mm2 for _, choice in conductors_of(plan)}.items():
        fitting = [row["newton"] for row in rule["rows"] if row["area_mm2"] <= area_mm2]
        if fitting:
            rows.append((size, f"holds {max(fitting):g} N"))
    caption = "A spare crimp made like these, pulled for 1 min"
    return _readings(
        caption, ("Size", "Should"), rows, f"Limits: {source_words(rule['source'], rule['status'])}"
    )


def _shorts(plan: Plan) -> Iterator[str]:
    for run in plan.runs:
        if run.fuse:
            yield (
                f"{conductor_name(run.name, run.fuse.conductor)}: fuse out, loads unplugged, load side to "
                f"the body: open. Reads {_BLANK}"
            )


def _voltages(plan: Plan) -> Html:
    """Return what each load misses of the source's voltage, both read with the same loads on.

    Any source sags under load, and by more than a limit leaves room for: its voltage at rest says nothing.
    """
    source = plan.job.source
    most_v = plan.job.limits.drop_fraction * source.nominal_v
    posts = f"{source.at} to {source.negative_at or 'the minus post beside it'}, post to post"
    rows: list[tuple[str, str, str, str]] = []
    for run, choice in conductors_of(plan):
        own = next(each for each in plan.job.run(run.name).conductors if each.name == choice.name)
        if choice.load_drop_v is not None:
            name = conductor_name(run.name, choice.name) + _lamp_words(own)
            rows.append((name, _amperes(own.load_a), _less(choice.load_drop_v), _less(most_v)))
    note = (
        "Read A again where the loads or the engine change. Should: with the copper as warm as it may get; "
        "cold it misses a little less. At least: the job's drop limit."
    )
    caption = f"Voltage across each load, {_when(plan)}"
    if not rows:
        return Html("")
    first = tick(f"A, first of all, {_when(plan)}: {posts}: {_BLANK} V")
    readings = _readings(caption, ("Where", "Load", "Should", "At least"), rows, note)
    return element("div", listed([first], class_="plain"), readings)


def _less(volts: float) -> str:
    return f"A \N{MINUS SIGN} {volts:.2f} V"


def _lamp_words(conductor: Conductor) -> str:
    lamps = ", ".join(f"{each.count} {each.lamp}" for each in conductor.lamps)
    return f" ({lamps}: look at each)" if lamps else ""


def _is_every_load_on(plan: Plan) -> bool:
    """Return whether all there is can be on while the voltages are read, and not only so much together."""
    return all(choice.when is not LoadCase.MOST_TOGETHER for _, choice in conductors_of(plan))


def _when(plan: Plan) -> str:
    return "every load on" if _is_every_load_on(plan) else "each with the most on that can be beside it"


def _losses(plan: Plan) -> Html:
    """Return what each conductor should lose along its own length, to find where a load's voltage goes."""
    rule = load_table("acceptance")["joint_drop"]
    rows = [
        (
            conductor_name(run.name, choice.name),
            _amperes(choice.load_a),
            f"{choice.own_drop_v:.2f} V",
            f"{choice.own_drop_v + rule['limit_v']:.2f} V",
        )
        for run, choice in conductors_of(plan)
        if choice.load_a > 0
    ]
    where = source_words(rule["source"], rule["status"])
    source = (
        f"One meter lead on each end. At most: {rule['limit_v']:g} V for its connections ({where}) on top of "
        "what it should lose; the voltage across the load has the last word."
    )
    return _readings(
        f"Lost along each conductor, {_loss_case(plan)}",
        ("Conductor", "Carries", "Should", "At most"),
        rows,
        source,
    )


def _loss_case(plan: Plan) -> str:
    return "every load on" if _is_every_load_on(plan) else "the most on that can be together"


def _amperes(current_a: float) -> str:
    return f"{current_a:.2f} A" if current_a < 1 else f"{current_a:.1f} A"
