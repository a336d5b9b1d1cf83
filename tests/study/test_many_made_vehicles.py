"""Two hundred random vehicles of each type: each is read without a fault, a trailer module planned on it."""

from itertools import islice

import pytest
from made_vehicles import KEYS, broken_rules, random_answers, write_made

from router.errors import NoAnswerError

pytestmark = pytest.mark.study
VEHICLES = 200


@pytest.mark.parametrize("key", KEYS)
def test_two_hundred_vehicles_of_a_type(key, tmp_path):
    failed = []
    for answers in islice(random_answers(key, seed=3), VEHICLES):
        write_made(tmp_path, key, answers)
        try:
            broken = broken_rules(tmp_path)
        except NoAnswerError as error:
            broken = [error.why]
        failed += [(answers, broken)] if broken else []
    assert failed == []
