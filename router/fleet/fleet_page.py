"""fleet.html: what a fleet comes to, on one page that needs nothing else and prints on A4 or Letter."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby, islice

from router.fleet.charts import MOST_ROWS, draw_fleet, rows_of_jobs, rows_of_plans
from router.fleet.cuts import CutItem, CutPiece, cut_pieces
from router.fleet.fleet_text import gap_words, orphaned_words, quantity_words, waste_words
from router.fleet.kits import Kit, KitPart
from router.fleet.outliers import OUTLIER_RULE, Measure
from router.fleet.report import PlanLine, Report
from router.fleet.store import PLANS_FOLDER, Store
from router.sheet import Html, element, facts, joined, listed, make_document, raw, stylesheet, table, tick

MOST_REELS = 120
"""Of one thing; what is beyond them is in cuts.csv."""
_PROPOSAL = (
    "A proposal, not a permission: the vehicle makers' instructions, local rules and a qualified person "
    "decide over every plan. Read each plan's own sheet, with its cautions, before anything is fitted."
)


def make_page(report: Report, store: Store, program: str) -> str:
    """Return the page of a fleet as one HTML document."""
    title = f"Fleet: {report.fleet.name}"
    parts = [
        _failures(report),
        _broken(report),
        _part(
            "plans",
            "Plans",
            joined([_plot(report, store), _plans(report), _strange(report)]),
        ),
        _part("outliers", "Outliers", _outliers(report)),
        _part("order", "What to order", _order(report)),
        _part("cuts", "How to cut", joined(_cuts(store, item, report) for item in report.cuts)),
        _part("kits", "Kits", _kits(report)),
    ]
    header = joined([element("h1", title), element("p", _PROPOSAL), _figures(report, program), _nav(report)])
    return make_document(title, title, None, header, joined(parts), stylesheet("router.fleet", "fleet.css"))


def _nav(report: Report) -> Html:
    parts = [
        ("plans", "Plans"),
        ("outliers", "Outliers"),
        ("order", "Order"),
        ("cuts", "Cuts"),
        ("kits", "Kits"),
    ]
    if report.no_answers:
        parts.insert(0, ("failures", "Without an answer"))
    if report.must:
        parts.insert(bool(report.no_answers), ("broken", "Must-rules broken"))
    links = (element("a", words, href=f"#part-{part}") for part, words in parts)
    return element("nav", listed(links), aria_label="Parts")


def _figures(report: Report, program: str) -> Html:
    costs = [line.price for line in report.order if line.price is not None]
    figures = [
        ("Vehicles", str(report.vehicles)),
        ("Different plans", str(report.plans)),
        ("Without an answer", str(report.no_answers)),
        ("Plans that break a must-rule", str(report.must)),
        ("Outliers", str(len(report.outliers))),
        ("Reels and coils", f"{sum(costs):.2f} {report.fleet.currency}" if costs else "no prices stated"),
        ("Program", program),
    ]
    return facts(figures)


def _part(name: str, heading: str, content: Html) -> Html:
    return element("section", element("h2", heading, id=f"part-{name}"), content)


def _failures(report: Report) -> Html:
    if not report.no_answers:
        return Html("")
    rows = [
        (str(each.vehicles), _model(each.profile, each.variant), each.job, each.why)
        for each in report.failures
    ]
    words = element(
        "p", "These have no plan. They are in no order list, no cutting plan and no kit.", class_="must"
    )
    shown = table("No answer", ("Vehicles", "Model", "Job", "What blocks it"), rows, (0,))
    return _part("failures", "Without an answer", joined([words, shown, _more(report.no_answers, len(rows))]))


def _broken(report: Report) -> Html:
    if not report.must:
        return Html("")
    rows = [
        (
            each.names,
            _model(each.profile, each.variant),
            each.job,
            each.run if each.station_mm is None else f"{each.run}, {each.station_mm / 1000:.2f} m",
            each.what,
            _link(each.folder),
        )
        for each in report.broken
    ]
    count = "1 plan breaks" if report.must == 1 else f"{report.must} plans break"
    words = element("p", f"{count} a must-rule: put it right before anything is fitted.", class_="must")
    heads = ("Vehicles", "Model", "Job", "Run, station", "What is wrong", "Sheet")
    return _part("broken", "Must-rules broken", joined([words, table("Broken", heads, rows)]))


def _plot(report: Report, store: Store) -> Html:
    rows = rows_of_plans(report.plan_lines) if report.plans <= MOST_ROWS else rows_of_jobs(store)
    if not rows:
        return Html("")
    title = f"Lengths, efforts and tightest margins of {report.fleet.name}"
    drawing = draw_fleet(rows, title).partition("\n")[2]
    label = f"{title}; the same figures are in the table below"
    is_each = report.plans <= MOST_ROWS
    words = (
        "A dot is a plan."
        if is_each
        else "From least to largest; the box holds half, bar and figure: median."
    )
    picture = element("div", raw(drawing), role="img", aria_label=label)
    return element(
        "figure", picture, element("figcaption", words, class_="soft"), class_="plot", tabindex="0"
    )


def _plans(report: Report) -> Html:
    rows = [
        (
            _model(line.profile, line.variant),
            line.job,
            str(line.vehicles),
            _m(line.routed_mm),
            _m(line.effort_mm),
            f"{line.margin_mm:.1f} mm, {line.tightest}" if line.margin_mm is not None else _none_near(line),
            _found(line.must, line.should),
            _link(line.folder) if line.routed_mm is not None else "no answer",
        )
        for line in report.plan_lines
    ]
    heads = ("Model", "Job", "Vehicles", "Length", "Effort", "Tightest margin", "Findings", "Sheet")
    shown = table("One line for each different plan", heads, rows, (2, 3, 4))
    return joined([shown, _more(report.plans, len(rows), "view fleet_plans of fleet.sqlite")])


def _strange(report: Report) -> Html:
    return joined(element("p", words, class_="should") for words in orphaned_words(report))


def _none_near(line: PlanLine) -> str:
    return "" if line.routed_mm is None else "no keep-out near"


def _link(folder: str) -> Html:
    return element("a", "sheet", href=f"{PLANS_FOLDER}/{folder}/sheet.html", aria_label=f"Sheet of {folder}")


def _found(must: int | None, should: int | None) -> Html | str:
    words = [element("span", f"{must} must", class_="must")] if must else []
    words += [element("span", f"{should} should", class_="should")] if should else []
    return joined(words, ", ") if words else "none"


def _outliers(report: Report) -> Html:
    rule = element("p", f"{OUTLIER_RULE}.", class_="soft")
    if not report.outliers:
        return joined([element("p", "Nothing stands out."), rule])
    rows = [
        (
            _model(each.profile, each.variant),
            f"{each.job}: {each.run}",
            each.measure,
            _measure(each.measure, each.value),
            _measure(each.measure, each.median),
            f"{each.score:+.1f}",
            _link(each.folder),
        )
        for each in report.outliers
    ]
    heads = ("Model", "Run", "What", "Value", "Median", "Score", "Sheet")
    return joined([table("The furthest out first", heads, rows, (3, 4, 5)), rule])


def _measure(measure: Measure, value_mm: float) -> str:
    return f"{value_mm:.0f} mm" if measure is Measure.MARGIN else _m(value_mm)


def _order(report: Report) -> Html:
    has_prices = any(line.price is not None for line in report.order)
    rows = [
        (
            tick(line.item),
            line.spec,
            quantity_words(line.quantity, line.unit),
            line.order,
            *([] if not has_prices else ["" if line.price is None else f"{line.price:.2f}"]),
        )
        for line in report.order
    ]
    heads = ["Item", "What exactly", "How much", "To order"]
    heads += [f"Price, {report.fleet.currency}"] if has_prices else []
    notes = [
        f"Under stock: {name} is used by nothing; is it spelt as in the bill?" for name in report.unused_stock
    ]
    return joined(
        [listed(notes, class_="should") if notes else "", table("For all vehicles", heads, rows, (2, 4))]
    )


def _cuts(store: Store, item: CutItem, report: Report) -> Html:
    heading = element("h3", f"{item.name.capitalize()}, {item.spec}")
    words = [element("p", f"{item.why.capitalize()}.", class_="should")] if item.why else []
    if item.plan is None:
        return joined([heading, *words])
    facts_ = [
        f"{item.pieces} pieces, {item.wanted_mm / 1000:.2f} m in all.",
        waste_words(item.plan),
        gap_words(item.plan, report.fleet.currency),
    ]
    rows = list(islice(_reel_rows(store, item), MOST_REELS))
    heads = ("Reel", "Of", "Cut, from one end to the other", "Rest")
    shown = table("A row for each reel; tick when cut", heads, rows, (1, 3))
    more = _more(item.plan.reel_count, len(rows), "cuts.csv")
    parts = [heading, *words, element("p", " ".join(facts_)), shown, more]
    return element("section", joined(parts), class_="cut")


def _reel_rows(store: Store, item: CutItem) -> Iterator[tuple[object, ...]]:
    for number, group in groupby(cut_pieces(store, item), key=lambda piece: piece.reel):
        pieces = list(group)
        first = pieces[0]
        cuts = joined((_piece(piece) for piece in pieces), raw("<br>"))
        yield tick(str(number)), f"{first.reel_mm / 1000:g} m", cuts, f"{first.rest_mm / 1000:.2f} m"


def _piece(piece: CutPiece) -> str:
    use = piece.use
    what = use.conductor or use.place
    return f"{piece.pieces} x {piece.length_mm / 1000:.2f} m: {use.vehicle}, {use.job}, {what}"


def _kits(report: Report) -> Html:
    return joined(
        [*(_kit(kit) for kit in report.kits), _more(report.kit_count, len(report.kits), "kits.csv")]
    )


def _kit(kit: Kit) -> Html:
    verdict = (
        f"One kit serves all {kit.vehicles} vehicles."
        if kit.serves_all
        else "One kit, and what else some need."
    )
    parts = [element("h3", f"{kit.model}: {kit.job}"), element("p", verdict)]
    if kit.missing:
        parts.append(element("p", f"Without a plan and a kit: {kit.missing}.", class_="must"))
    heads = ("Item", "What exactly", "How much", "Which")
    caption = f"Kit for every vehicle, {kit.vehicles} times"
    parts.append(table(caption, heads, [_kit_row(part) for part in kit.parts], (2,)))
    for add_on in kit.add_ons:
        caption = f"Besides, for {add_on.variant or 'vehicles as first measured'}, {add_on.vehicles} times"
        parts.append(table(caption, heads, [_kit_row(part) for part in add_on.parts], (2,)))
    return element("section", joined(parts))


def _kit_row(part: KitPart) -> tuple[object, ...]:
    place = f"{part.place}; trim up to {part.trim_m:.2f} m" if part.trim_m else part.place
    return tick(part.item), part.spec, quantity_words(part.quantity, part.unit), place


def _more(count: int, shown: int, where: str = "view fleet_plans of fleet.sqlite") -> Html:
    return element("p", f"{count - shown} more: see {where}.") if count > shown else Html("")


def _model(profile: str, variant: str) -> str:
    return f"{profile}, {variant}" if variant else profile


def _m(length_mm: float | None) -> str:
    return "" if length_mm is None else f"{length_mm / 1000:.2f} m"
