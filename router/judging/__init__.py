"""A drawn route beside the planned one: what is wrong with it, its mark, what changed under it."""

from router.judging.judge import judge_route
from router.judging.standards import approve, fingerprint

__all__ = ["approve", "fingerprint", "judge_route"]
