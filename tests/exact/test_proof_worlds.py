"""The proof on random worlds of several sheets, with `via` and `avoid`: a finer search never beats the bound.

The full study prints how many worlds and the worst gap; it takes half an hour:

    pytest tests/exact/test_proof_worlds.py -m study -rP
"""

from __future__ import annotations

import pytest
from proof_worlds import judge, random_question

TURNS_BACK_IN_A_ZONE = 200
"""A world in which the best way rides just into a zone that is to be met, and back at once."""


QUICK = (13, 30, 34, 37, 53, 64, 72, 76, 93, 99)
"""Worlds that take under a second each and have more than one sheet, or something to meet or to avoid."""


@pytest.mark.parametrize("seed", [*QUICK, TURNS_BACK_IN_A_ZONE])
def test_no_finer_search_beats_the_bound(seed):
    judged = judge(random_question(seed))
    assert judged is None or judged.is_sound, judged


@pytest.mark.study
def test_no_finer_search_beats_the_bound_on_500_worlds():
    judged = {seed: judge(random_question(seed)) for seed in range(500)}
    answered = {seed: each for seed, each in judged.items() if each is not None}
    worst = max(answered, key=lambda seed: answered[seed].gap)
    print(
        f"{len(answered)} of {len(judged)} worlds have a way; worst gap {answered[worst].gap:.4f} in {worst}"
    )
    unsound = [seed for seed, each in answered.items() if not each.is_sound]
    assert not unsound
    assert len(answered) > 400


def test_the_judge_can_say_no():
    """A bound 2 % above the finer way is told from one just below it."""
    judged = judge(random_question(1))
    assert judged is not None and judged.is_sound
    above_mm = judged.effort_mm / (1.0 + judged.gap) / 1.02
    assert not type(judged)(judged.gap, judged.effort_mm, above_mm).is_sound
