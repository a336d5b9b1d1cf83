"""A lesson as files: the blank map, the questions and the answers."""

from __future__ import annotations

from functools import partial

from router.drawing import ShownRoute, draw_judgement, draw_map, draw_offered_routes
from router.model.lesson import Lesson
from router.sheet import make_answers, make_questions


def files_of_lesson(lesson: Lesson, *, seen_from: str = "below", paper: str = "a4") -> dict[str, bytes]:
    """Return the files of a lesson by name: map-blank.svg, questions.html and answers.html.

    Parameters
    ----------
    lesson : Lesson
        All questions, with their answers.
    seen_from : str
        "below" or "above", as for `draw_map`.
    paper : str
        "a4", "a3", "letter" or "tabloid".
    """
    draw = partial(draw_offered_routes, lesson.plan, seen_from=seen_from, paper=paper)
    blank = draw_map(lesson.plan, seen_from=seen_from, paper=paper, is_blank=True)
    asked, answered = {"blank": blank}, {"blank": blank}
    for number, question in enumerate(lesson.routes, start=1):
        shown = [ShownRoute(f"route {each.letter}", each.route) for each in question.offered]
        asked[f"route {number}"] = draw(shown)
    for number, fix in enumerate(lesson.fixings, start=1):
        without = ShownRoute(f"run {fix.run}", fix.route)
        asked[f"fixing {number}"] = draw([without])
        held = ShownRoute(f"run {fix.run}", fix.route, fix.fixings)
        answered[f"fixing answer {number}"] = draw([held])
    for number, fault in enumerate(lesson.faults, start=1):
        drawn = fault.judged.drawn
        shown = [ShownRoute(f"run {drawn.route.run}", drawn.route, drawn.fixings, drawn.loops)]
        asked[f"fault {number}"] = draw(shown)
        answered[f"fault answer {number}"] = draw_judgement(fault.judgement, seen_from=seen_from, paper=paper)
    return {
        "map-blank.svg": blank.encode(),
        "questions.html": make_questions(lesson, asked).encode(),
        "answers.html": make_answers(lesson, answered).encode(),
    }
