"""Good routes broken in one known way each; nothing here asks the review that must find it."""

from router.lessons.broken.breaking import WAYS_TO_BREAK, Broken, GoodRun

__all__ = ["WAYS_TO_BREAK", "Broken", "GoodRun"]
