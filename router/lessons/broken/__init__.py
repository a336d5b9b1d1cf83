"""Good routes with one known fault each; nothing here asks the review that must find it."""

from router.lessons.broken.breaking import FAULT_MAKERS, Broken, GoodRun

__all__ = ["FAULT_MAKERS", "Broken", "GoodRun"]
