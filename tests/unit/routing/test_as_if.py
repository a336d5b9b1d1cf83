"""Runs laid as if an amount were paid, or a thing were shut: the same as when every one is searched for."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from small_vehicle import plain_practice
from street_jobs import COVER_MM, SHELTERED, a_street_job

from router.routing.job_search import JobSearch
from router.search import GraphWithLaid, find_beside

LOOM_MM = 1.0
PRACTICE = plain_practice({("amount", "cover"): COVER_MM, ("factor", "sheltered"): SHELTERED})
SEEDS = range(8)


def _searched(search, run, key, is_paid):
    """Return the steps of a run beside the others' own best paths, searched on a graph made for it alone."""
    graph = search.graph(run, {}).graph
    others = [search.alone(other, {}).path for other in search.job.runs if other is not run]
    used = {key for path in others for step in path.steps for key in step.keys}
    amounts = {zone.key: zone.amount_mm for layer in graph.world.layers for zone in layer.zones}
    paid = {each: amounts[each] for each in used if amounts.get(each)}
    ask = search.alone(run, {}).ask
    if is_paid:
        paid[key] = math.inf
    else:
        ask = replace(ask, avoid=ask.avoid | {key})
    path = find_beside(GraphWithLaid(graph, others, search.share, paid), ask, math.inf)
    return path and path.steps


@pytest.fixture(scope="module")
def answers():
    """Return by job, run and key: what was answered, what is found by searching, and without any key."""
    made = {}
    for seed in SEEDS:
        each = a_street_job(seed)
        search = JobSearch(each.job, each.profile, PRACTICE, {run.name: LOOM_MM for run in each.job.runs}, {})
        for run in each.job.runs:
            others = {other.name: search.alone(other, {}) for other in each.job.runs if other is not run}
            for key in search.paid_once():
                for is_paid in (True, False):
                    laid = search.answer_as_if(run, others, key, is_paid=is_paid)
                    found = _searched(search, run, key, is_paid)
                    asis = _searched(search, run, "nothing", is_paid)
                    made[seed, run.name, key, is_paid] = laid and laid.path.steps, found, asis
    return made


def test_what_is_answered_is_what_a_search_finds(answers):
    assert {asked: own for asked, (own, _, _) in answers.items()} == {
        asked: found for asked, (_, found, _) in answers.items()
    }


@pytest.mark.parametrize("is_paid", [True, False])
def test_some_thing_leads_another_way_and_some_does_not(answers, is_paid):
    is_other = {found != asis for (*_, paid), (_, found, asis) in answers.items() if paid is is_paid}
    assert is_other == {True, False}
