"""A drawn route beside the planned one: what is wrong with it, its mark, what changed under it."""

from router.judging.judge import HOLDING, judge_route
from router.judging.mistakes import common_mistakes
from router.judging.standards import approve, fingerprint

__all__ = ["HOLDING", "approve", "common_mistakes", "fingerprint", "judge_route"]
