"""The acceptance checks that hang on what a job does."""

from dataclasses import replace

from example_plans import example_plan

from router.model.vehicle import TerminalKind
from router.sheet.acceptance import checks_section

TAPPED = "no tapped lamp glows or flickers"
LEAD = "One lamp of the trailer out"


def test_tapped_lamps_and_a_lead_are_looked_at_where_a_job_has_them():
    words = str(checks_section(example_plan("rowing-trailer")))
    assert TAPPED in words and LEAD in words
    words = str(checks_section(example_plan("work-lamp")))  # feeds a lamp of its own, and taps none
    assert TAPPED not in words and LEAD not in words


def test_what_is_no_lamp_is_no_tapped_lamp():
    plan = example_plan("rowing-trailer")
    others = tuple(
        replace(each, kind=TerminalKind.CONNECTOR) if each.kind is TerminalKind.LAMP else each
        for each in plan.profile.terminals
    )
    words = str(checks_section(replace(plan, profile=replace(plan.profile, terminals=others))))
    assert TAPPED not in words and LEAD in words
