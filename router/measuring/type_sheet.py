"""The measuring sheet of a type: a box for each length that it asks, in the order of walking round."""

from __future__ import annotations

from router.measuring.made_profiles import NEEDED_WORDS
from router.measuring.sheet_pages import SheetOptions, before_you_measure, box, heading, page
from router.measuring.shown_types import Measurement, shown_type
from router.measuring.type_reader import TypeRead
from router.sheet import Html, element, joined, raw
from router.tape_lengths import length_says


def type_sheet(found: TypeRead, options: SheetOptions) -> str:
    """Return the sheet as one HTML document."""
    shown = shown_type(found)
    asked = [_asked(number, each, options) for number, each in enumerate(shown.measurements, start=1)]
    title = f"Measuring sheet: {shown.name}"
    words = (
        f"{shown.name}: {shown.says}. {len(asked)} lengths make a profile of it; an empty box is taken as "
        "usual, and what hangs on it is then only assumed. "
        f"{_needed(shown.measurements)}Is yours of another kind? Take another type."
    )
    content = joined([before_you_measure(), element("h2", f"The {len(asked)} lengths"), *asked])
    return page(title, heading(title, words), content, options)


def _needed(asked: tuple[Measurement, ...]) -> str:
    return f"A heavy box is needed: {NEEDED_WORDS}. " if any(each.is_needed for each in asked) else ""


def _asked(number: int, each: Measurement, options: SheetOptions) -> Html:
    usual, least, most = (
        length_says(length_mm, options.unit) for length_mm in (each.usual_mm, each.least_mm, each.most_mm)
    )
    words = element(
        "div",
        element("h3", f"{number}. {each.name.replace('-', ' ')}"),
        element("p", each.ask),
        element("p", f"From: {each.from_where}. To: {each.to_where}."),
        element("p", f"Usual {usual}; from {least} to {most}.", class_="soft"),
        box(options, is_needed=each.is_needed),
    )
    return element("div", raw(each.picture), words, class_="asked")
