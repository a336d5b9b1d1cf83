"""Lamps and trailer leads in a job: loads from published powers, colours, areas and pins by function."""

from __future__ import annotations

from pathlib import Path

import pytest
from conductor_cases import a_circuit_job, by_name, choose
from small_vehicle import a_conductor, a_run

from router.model.job import Fuse, Job, Lamps, Series
from router.reading import read_question
from router.reading.job.lamp_words import LEADS, parse_lamps
from router.tables import load_table

SOURCE = "source: {nominal: 12 V, resting: 12.6 V, at: battery positive}"


def test_the_leads_that_a_job_may_name_are_those_of_the_table() -> None:
    assert [each["lead"] for each in load_table("trailer_leads")["leads"]] == sorted(LEADS, key=_order)


def _order(lead: str) -> int:
    return [each["lead"] for each in load_table("trailer_leads")["leads"]].index(lead)


@pytest.mark.parametrize(
    ("words", "count", "lamp", "each_a"),
    [
        ("P21W", 1, "P21W", 26.5 / 13.5),
        ("4 W5W", 4, "W5W", 5.5 / 13.5),
        ("2 PY21/5W bright", 2, "PY21/5W bright", 26.5 / 13.5),
        ("PY21/5W dim", 1, "PY21/5W dim", 6.6 / 13.5),
        ("1157 dim", 1, "1157 dim", 0.59),  # SAE J573, from memory
        ("2 1157 bright", 2, "1157 bright", 2.10),
        ("194", 1, "194", 0.27),
    ],
)
def test_lamps_as_written(words: str, count: int, lamp: str, each_a: float) -> None:
    found = parse_lamps(words)
    assert (found.count, found.lamp, found.each_a) == (count, lamp, pytest.approx(each_a))


@pytest.mark.parametrize(
    ("words", "refusal"),
    [
        ("P22W", 'has "P22W", no lamp of the table; did you mean P21W?'),
        ("zzz", 'has "zzz", no lamp of the table; write load: with its current, or one of P21W, '),
        ("P21/5W", 'has "P21/5W", a lamp of two filaments; write "P21/5W bright" or "P21/5W dim"'),
        ("R5W dim", 'has "R5W" dim, a lamp of one filament; write "R5W"'),
        ("two P21W", 'has "two P21W", no lamp; write how many and which'),
        ("0 P21W", 'has "0 P21W", no lamp; write how many and which'),
    ],
)
def test_what_is_no_lamp_says_what_to_write(words: str, refusal: str) -> None:
    with pytest.raises(ValueError) as refused:
        parse_lamps(words)
    assert str(refused.value).startswith(refusal)


def trailer(tmp_path: Path, lead: str, *conductors: str) -> Job:
    listed = "\n".join(f"      - {{{each}}}" for each in conductors)
    text = f"""job: Lead
profile: godwit-pickup
{SOURCE}
runs:
  - run: lead
    from: trailer unit
    to: trailer socket
    lead: {lead}
    conductors:
{listed}
"""
    path = tmp_path / "job.yaml"
    path.write_text(text)
    return read_question(path).job


def test_a_lead_gives_colour_area_pin_and_what_comes_back_by_function(tmp_path: Path) -> None:
    job = trailer(
        tmp_path, "13-pin",
        "name: a, function: left indicator, lamps: P21W",
        "name: b, function: stop, lamps: [2 P21W, R5W]",
        "name: c, function: return for pins 1 to 8",
        "name: d, function: permanent supply, load: 10 A",
        "name: e, function: return for pin 9",
    )  # fmt: skip
    conductors = {each.name: each for each in job.runs[0].conductors}
    assert {name: each.colour for name, each in conductors.items()} == {
        "a": "yellow", "b": "red", "c": "white", "d": "orange", "e": "white/red",
    }  # fmt: skip
    assert conductors["c"].returns == ("a", "b")
    assert conductors["e"].returns == ("d",)
    assert conductors["b"].load_a == pytest.approx((2 * 26.5 + 5.5) / 13.5)


def test_a_leads_area_is_a_least_size_and_its_pin_goes_along() -> None:
    """ISO 11446-1:2012: pin 6 1.5 mm2 red, pin 3 2.5 mm2; one lamp alone would do with 1 mm2 in a sheath."""
    lamp = Lamps(1, "R5W", 5.5 / 13.5, 13.5, "UN Regulation 37, data sheet R5W", "from memory")
    stop = a_conductor("stop", load_a=lamp.each_a, function="stop", lamps=(lamp,))
    back = a_conductor("back", load_a=0.0, returns=("stop",), function="return for pins 1 to 8")
    found = {}
    for lead in ("13-pin", None):
        functions = {} if lead else {"function": None}
        conductors = tuple(
            each if lead else a_conductor(each.name, load_a=each.load_a, returns=each.returns, **functions)
            for each in (stop, back)
        )
        job = a_circuit_job(a_run("lead", conductors=conductors, lead=lead), drop=0.1)
        found[lead] = by_name(choose(job, 500.0))
    assert {name: choice.size for name, choice in found[None].items()} == {"stop": "1 mm2", "back": "1 mm2"}
    led = found["13-pin"]
    assert {name: choice.size for name, choice in led.items()} == {"stop": "1.5 mm2", "back": "2.5 mm2"}
    assert (led["stop"].decided_by, led["stop"].pin, led["back"].pin) == ("lead", 6, 3)
    whats = [(reason.what, reason.source, reason.status) for reason in led["stop"].reasons]
    assert ("13-pin lead: pin 6, stop, red, 1.5 mm2", "ISO 11446-1:2012", "published") in whats
    assert ("its own load: 1 R5W of 0.407 A at 13.5 V, 0.407 A", lamp.source, "from memory") in whats


def test_a_lead_keeps_its_own_area_and_what_that_costs_is_a_must() -> None:
    heavy = a_conductor("supply", load_a=20.0, function="permanent supply")
    job = a_circuit_job(a_run("lead", conductors=(heavy,), lead="13-pin", fuse=Fuse(None)), series=Series.IEC)
    found = choose(job, 6000.0)
    (choice,) = found.conductors
    assert (choice.size, choice.decided_by) == ("2.5 mm2", "lead")
    (drop,) = (each for each in found.findings if each.kind == "drop")
    assert drop.severity == "must"
