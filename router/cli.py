"""The `underbody` command: words in, words out, exit codes.

0  done; findings are printed
1  it was asked, and there is no answer: no route, or no conductor that meets the limits
2  the question cannot be read, or the answer cannot be written
70 a fault of this program

Results go to stdout, words about progress and errors to stderr. Whatever is slow to import is imported
inside the commands, so that help and completion are quick.
"""

from __future__ import annotations

import contextlib
import os
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from router import __version__
from router.errors import NoAnswerError, NoRouteError, UnreadableError

if TYPE_CHECKING:
    from router.model.plan import Plan
    from router.model.practice import Rule
    from router.model.review import FittedRun, Judgement
    from router.model.vehicle import Profile

DONE, NO_ANSWER, UNREADABLE, OWN_FAULT, INTERRUPTED = 0, 1, 2, 70, 130

_Command = TypeVar("_Command", bound=Callable[..., Any])
NARROWEST_ROLL_MM, WIDEST_ROLL_MM = 200, 2000
LEAST_GAP = 1e-4
"""The smallest gap that may be asked for; rounding and patience end below."""
_CONTEXT = {"help_option_names": ["-h", "--help"], "max_content_width": 100}


def main(arguments: Sequence[str] | None = None) -> None:
    """Run one command and leave with its exit code; whatever happens, no traceback."""
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")  # looking for them slows every start
    for stream in (sys.stdout, sys.stderr):
        with contextlib.suppress(AttributeError, ValueError):
            stream.reconfigure(errors="replace")  # type: ignore[union-attr]  # a narrow code page is no error
    sys.exit(_run(arguments))


def _run(arguments: Sequence[str] | None) -> int:
    try:
        code = commands.main(arguments, prog_name="underbody", standalone_mode=False)
        sys.stdout.flush()
    except click.ClickException as error:
        error.show()
        return error.exit_code
    except (BrokenPipeError, SystemExit):  # click turns the first into the second, and nothing else
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())  # who read it has left; so do we
        return DONE
    except (KeyboardInterrupt, Exception) as error:  # the last resort too: a line, never a traceback
        words, code = _refusal(error)
        click.echo(words, err=True)
    return code if isinstance(code, int) else DONE


def _refusal(error: BaseException) -> tuple[str, int]:
    """Return what to say about an error, and the exit code."""
    match error:
        case UnreadableError():
            return str(error), UNREADABLE
        case NoAnswerError():
            return f"no answer: {error.why}", NO_ANSWER
        case click.Abort() | KeyboardInterrupt():
            return "underbody: stopped", INTERRUPTED
        case OSError():
            return f"underbody: {_one_line(str(error))}", UNREADABLE
    what = _one_line(f"{type(error).__name__}: {error}")
    return f"underbody: this is a fault of the program, please report it: {what}", OWN_FAULT


def _drawing_options(command: _Command) -> _Command:
    options = (
        click.option(
            "--seen-from",
            type=click.Choice(["below", "above"]),
            default="below",
            show_default=True,
            help="Where the vehicle is looked at from.",
        ),
        click.option(
            "--paper",
            type=click.Choice(["a4", "a3", "letter", "tabloid", "roll"]),
            default="a4",
            show_default=True,
            help="Sheet that the drawing fits on; on a roll it is one long strip.",
        ),
        click.option(
            "--roll-width",
            "roll_width_mm",
            metavar="LENGTH",
            default="610 mm",
            show_default=True,
            callback=lambda _context, _option, text: _roll_width(text),
            help="Width of the roll.",
        ),
        click.option(
            "--scale",
            metavar="1:N",
            callback=lambda _context, _option, text: _scale(text),
            help="Scale of the plan band, 1:2 to 1:200; what is larger than a sheet comes in tiles.  "
            "[default: the largest that fits]",
        ),
    )
    for option in reversed(options):
        command = option(command)
    return command


def _look(seen_from: str, paper: str, roll_width_mm: float, scale: float | None) -> dict[str, Any]:
    """Return the drawing options as `draw_map` and its like take them."""
    return {"seen_from": seen_from, "paper": paper, "roll_width_mm": roll_width_mm, "scale": scale}


def _roll_width(text: str) -> float:
    """Return the width of a roll in mm; one that no printer takes is refused."""
    from router.units import parse_quantity

    try:
        width_mm = parse_quantity(text, "length")
    except ValueError as error:
        raise click.BadParameter(str(error)) from error
    if not NARROWEST_ROLL_MM <= width_mm <= WIDEST_ROLL_MM:
        raise click.BadParameter(
            f'"{text}" is not from {NARROWEST_ROLL_MM} mm to {WIDEST_ROLL_MM} mm; write e.g. "610 mm"'
        )
    return width_mm


def _scale(text: str | None) -> float | None:
    """Return a scale such as "1:10" as 10; one that is on no common scale ruler is refused."""
    from router.drawing.frame import SCALES

    if text is None:
        return None
    named = {f"1:{scale}": float(scale) for scale in SCALES}
    if text.replace(" ", "") not in named:
        raise click.BadParameter(f'"{text}" is not one of {", ".join(named)}')
    return named[text.replace(" ", "")]


def _day(text: str | None) -> str:
    """Return a day as it was written, or nothing; one that no calendar has is refused."""
    from datetime import date

    if text is None:
        return ""
    try:
        return date.fromisoformat(text).isoformat()
    except ValueError as error:
        raise click.BadParameter(f'"{text}" is no date; write e.g. 2026-03-20') from error


_practice_option = click.option(
    "--practice",
    "practice_path",
    type=click.Path(path_type=Path),
    metavar="FILE|NAME",
    help="Rules in place of those that the job names: a shop's file, or default, law, voluntary.",
)
_json_option = click.option("--json", "as_json", is_flag=True, help="Print JSON and nothing else.")


def _share(text: str) -> float:
    """Return a share such as "1 %" as a ratio; one that no proof could be about is refused."""
    from router.units import parse_quantity

    try:
        share = parse_quantity(text, "ratio")
    except ValueError as error:
        raise click.BadParameter(str(error)) from error
    if not LEAST_GAP <= share <= 1.0:
        raise click.BadParameter(f'"{text}" is not from {LEAST_GAP * 100:g} % to 100 %; write e.g. "0.5 %"')
    return share


@click.group(context_settings=_CONTEXT)
@click.version_option(__version__, prog_name="underbody")
def commands() -> None:
    """Plan how an accessory cable runs under a road vehicle.

    Out of a vehicle as measured (profile), what is to be installed (job) and the shop's rules
    (practice) come a map, a sheet for the installer, a bill and the plan as data.

    \b
    Start with a shipped example:
      underbody plan examples/fridge-supply --out out
      underbody profiles

    The vehicle maker's instructions, local rules and a qualified person decide over every plan.
    """


@commands.command(short_help="Plan a job: map, sheet, bill and data.")
@click.argument("job", type=click.Path(path_type=Path))
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    metavar="DIR",
    help="Folder for the files; without it, one beside the job: plan for a job.yaml, else NAME-plan.",
)
@click.option(
    "--gap",
    default="1 %",
    show_default=True,
    callback=lambda _context, _option, text: _share(text),
    help="How much more effort than the best possible a route may be proven to take; less takes longer.",
)
@click.option(
    "--date",
    metavar="YYYY-MM-DD",
    callback=lambda _context, _option, text: _day(text),
    help="Date to print on map and sheet; without it, a line to write it on.",
)
@click.option(
    "--blank/--answer",
    "is_blank",
    help="Draw only map-blank.svg: the same map without routes, to fill in by hand.  [default: answer]",
)
@click.option("--png", "is_png", is_flag=True, help="Write every sheet of the map as a picture too.")
@_drawing_options
@_practice_option
@_json_option
def plan(
    job: Path,
    out: Path | None,
    gap: float,
    date: str,
    is_blank: bool,
    is_png: bool,
    seen_from: str,
    paper: str,
    roll_width_mm: float,
    scale: float | None,
    practice_path: Path | None,
    as_json: bool,
) -> None:
    """Plan JOB: a job file, or a folder with a job.yaml in it.

    Writes map.svg, sheet.html, bill.csv, plan.json and route.yaml, all of them or none, and prints a summary.
    With --json the plan is printed instead, and files are written only where --out says so.

    \b
    Examples:
      underbody plan examples/fridge-supply --out out
      underbody plan van-17.yaml --seen-from above --paper a3
      underbody plan van-17.yaml --scale 1:10
      underbody plan van-17.yaml --paper roll --roll-width "36 in"
      underbody plan van-17.yaml --json > van-17.json

    Exit code 0: planned, findings are printed. 1: there is no way or no conductor that keeps to the
    rules; it says what stands in the way. 2: a file cannot be read or written; every fault is listed.
    """
    from router.reading import read_question

    _progress(f"reading {job}")
    question = read_question(job, practice_path)

    from router.outputs import no_route_json, plan_json, write_whole
    from router.plan import make_plan

    _progress(f"planning {question.job.name} on {question.profile.name}")
    try:
        made = make_plan(question.job, question.profile, question.practice, gap)
    except NoRouteError as error:
        if as_json:
            _print_json(no_route_json(error))
        raise
    folder = out if out or as_json else _folder_beside(job)
    look = {**_look(seen_from, paper, roll_width_mm, scale), "date": date}
    files = _blank_file(made, folder, look) if is_blank else _plan_files(made, folder, look)
    if is_png:
        files |= _pictures(files)
    write_whole(files)
    if as_json:
        _print_json(plan_json(made))
    elif is_blank:
        click.echo("\n".join(f"written: {path}" for path in files))  # a summary would tell the answer
    else:
        from router.summary import summarise

        click.echo(summarise(made, tuple(files)))


@commands.command(short_help="List every fault of some files.")
@click.argument("files", nargs=-1, type=click.Path(path_type=Path), metavar="FILE...")
@click.option(
    "--schema",
    type=click.Choice(["profile", "job", "practice", "route"]),
    help="Print the JSON Schema of a kind of file, for an editor that completes keys.",
)
@_json_option
def check(files: tuple[Path, ...], schema: str | None, as_json: bool) -> int:
    """Read each FILE (profile, job, practice or route) and list every fault in it.

    A fault reads file:line:column: where: what was found; what to write.

    \b
    Examples:
      underbody check profiles/*.yaml
      underbody check examples/fridge-supply
      underbody check --schema profile > profile.schema.json

    Exit code 0: no faults. 2: faults, listed on stderr.
    """
    if schema:
        from router.reading import json_schema

        _print_json(json_schema(schema))
        return DONE
    if not files:
        raise click.UsageError("name at least one file, or --schema")
    results = [_checked(path) for path in files]
    if as_json:
        _print_json(results)
    else:
        for result in results:
            for fault in result["faults"]:
                click.echo(fault, err=True)
            if not result["faults"]:
                click.echo(f"{result['file']}: {result['kind']}, no faults")
    return UNREADABLE if any(result["faults"] for result in results) else DONE


@commands.command(short_help="Judge a route that somebody drew, or standard routes.")
@click.argument("job", type=click.Path(path_type=Path))
@click.argument("route", type=click.Path(path_type=Path), required=False)
@click.option(
    "--out", type=click.Path(path_type=Path), metavar="DIR", help="Folder for review.html and map.svg."
)
@click.option(
    "--as-fitted",
    type=click.Path(path_type=Path),
    metavar="LENGTHS.csv",
    help="Say how far the length allowances are off, by what was used (vehicle,run,used).",
)
@click.option("--approve-by", metavar="NAME", help="Make it a standard route, approved by NAME, in --out.")
@click.option("--approve-on", metavar="DATE", help="Day of the approval, e.g. 2026-03-14.")
@_drawing_options
@_practice_option
@_json_option
def review(
    job: Path,
    route: Path | None,
    out: Path | None,
    as_fitted: Path | None,
    approve_by: str | None,
    approve_on: str | None,
    seen_from: str,
    paper: str,
    roll_width_mm: float,
    scale: float | None,
    practice_path: Path | None,
    as_json: bool,
) -> int:
    """Judge ROUTE, a route file, against the vehicle and the rules of JOB.

    In place of ROUTE a folder of route files will do: one line each. A folder of
    route files alone is reviewed for the jobs that they name.

    \b
    Examples:
      underbody review examples/fridge-supply drawn.yaml --out reviewed
      underbody review standard-routes
      underbody review van-17.yaml route.yaml --as-fitted lengths.csv

    Exit code 0: no must-rule is broken. 1: one is. 2: a file cannot be read or written.
    """
    if (route or job).is_dir() and (route is not None or not (job / "job.yaml").is_file()):
        if out or as_fitted or approve_by or approve_on:
            raise click.UsageError("--out, --as-fitted and --approve-by are for one route, not for a folder")
        return _review_folder(route or job, job if route else None, practice_path, as_json)
    if route is None:
        raise click.UsageError("name a route file beside the job, or a folder of route files")
    if (approve_by is None) != (approve_on is None) or (approve_by and not out):
        raise click.UsageError("--approve-by, --approve-on and --out go together")
    judged = _judged(job, route, practice_path)
    fitted = _fitted(judged, as_fitted) if as_fitted else ()
    files = _review_files(judged, out, _look(seen_from, paper, roll_width_mm, scale)) if out else {}
    if out and approve_by and approve_on and judged.stands:
        files[out / "standard.yaml"] = _approved(judged, approve_by, approve_on, job, out)
    _tell_review(judged, fitted, files, as_json)
    if approve_by and not judged.stands:
        click.echo("not approved: a must-rule is broken; put the route right first", err=True)
    return DONE if judged.stands else NO_ANSWER


@commands.command(short_help="Draw a vehicle alone.")
@click.argument("profile")
@click.option("--variant", metavar="NAME", help="Draw this variant of it.")
@click.option(
    "--out",
    type=click.Path(path_type=Path, allow_dash=True),
    metavar="FILE",
    help="Where to draw it; - for stdout.  [default: the profile's name with .svg, in this folder]",
)
@_drawing_options
def show(
    profile: str,
    variant: str | None,
    out: Path | None,
    seen_from: str,
    paper: str,
    roll_width_mm: float,
    scale: float | None,
) -> None:
    """Draw PROFILE alone: a name in the library, or a file.

    \b
    Examples:
      underbody show dunlin-lwb
      underbody show profiles/sanderling-estate.yaml --out estate.svg --paper a3
    """
    from router.drawing import draw_profile
    from router.outputs import write_whole
    from router.reading import read_profile

    vehicle = read_profile(profile, variant)
    drawn = _drawn(draw_profile, vehicle, _look(seen_from, paper, roll_width_mm, scale)).encode()
    if out == Path("-"):
        click.echo(drawn, nl=False)  # bytes: the same on every code page
        return
    path = out or Path(f"{vehicle.key}.svg")
    write_whole({path: drawn})
    click.echo(f"written: {path}")


@commands.command(short_help="List what differs between two vehicles.")
@click.argument("before")
@click.argument("after")
@click.option("--variant", metavar="NAME", help="Take this variant of BEFORE.")
@click.option("--other-variant", metavar="NAME", help="Take this variant of AFTER.")
@_json_option
def compare(before: str, after: str, variant: str | None, other_variant: str | None, as_json: bool) -> None:
    """List what differs between two profiles, revisions or variants: names or files.

    \b
    Examples:
      underbody compare dunlin-lwb new/dunlin-lwb.yaml
      underbody compare van.yaml van.yaml --other-variant "battery under seat"
    """
    from router.comparison import compare_profiles
    from router.reading import read_profile

    differences = compare_profiles(read_profile(before, variant), read_profile(after, other_variant))
    if as_json:
        _print_json([{"section": d.section, "name": d.name, "what": d.what} for d in differences])
    elif differences:
        _print_columns([("what", "name", "difference"), *((d.section, d.name, d.what) for d in differences)])
    else:
        click.echo("no difference")


@commands.command(short_help="List the rules in force, with their sources.")
@_practice_option
@_json_option
def practice(practice_path: Path | None, as_json: bool) -> None:
    """List the rules in force, each with its value, how far it can be trusted, and its source.

    \b
    Examples:
      underbody practice
      underbody practice --practice law
      underbody practice --practice house.yaml --json
    """
    from router.outputs import practice_json
    from router.reading import read_practice

    rules = read_practice(practice_path)
    if as_json:
        _print_json(practice_json(rules))
        return
    click.echo(rules.name)
    rows = [(rule.name, _in_words(rule), str(rule.status), rule.source) for rule in rules.rules.values()]
    _print_columns([("rule", "value", "status", "source"), *rows])


@commands.command(short_help="List the vehicles in the library.")
@_json_option
def profiles(as_json: bool) -> None:
    """List the vehicles in the library; a job names one by the word in the first column.

    \b
    Examples:
      underbody profiles
      underbody show dunlin-lwb
    """
    from router.reading import library, read_profile

    vehicles = [(key, read_profile(path)) for key, path in library()]
    if as_json:
        _print_json([_profile_data(key, vehicle) for key, vehicle in vehicles])
        return
    rows = [
        (key, vehicle.name, str(vehicle.revision), vehicle.measured_on, ", ".join(vehicle.variants) or "-")
        for key, vehicle in vehicles
    ]
    _print_columns([("name", "vehicle", "revision", "measured", "variants"), *rows])


def _pictures(files: dict[Path, bytes]) -> dict[Path, bytes]:
    """Return the sheets of the map among some files as pictures."""
    from router.drawing.pixels import NoRendererError, draw_pictures

    pictures: dict[Path, bytes] = {}
    for path in (path for path in files if path.suffix == ".svg"):
        try:
            drawn = draw_pictures(files[path].decode())
        except NoRendererError as error:
            raise click.UsageError(str(error)) from error
        pictures |= {
            path.with_name(f"{path.stem}-{number}.png"): one for number, one in enumerate(drawn, start=1)
        }
    return pictures


def _drawn(draw: Callable[..., str], what: object, look: dict[str, Any]) -> str:
    """Return a drawing; a scale that is too large for the roll is the caller's fault, not the program's."""
    try:
        return draw(what, **look)
    except ValueError as error:
        if look["paper"] != "roll":
            raise
        raise click.UsageError(str(error)) from error


def _for_a_page(look: dict[str, Any]) -> dict[str, Any]:
    """Return the look of a map within a page that a browser prints: on sheets, without tiles."""
    paper = "a4" if look["paper"] == "roll" else look["paper"]
    return {**look, "paper": paper, "scale": None}


def _blank_file(plan: Plan, folder: Path | None, look: dict[str, Any]) -> dict[Path, bytes]:
    from router.drawing import draw_map

    return (
        {folder / "map-blank.svg": _drawn(draw_map, plan, {**look, "is_blank": True}).encode()}
        if folder
        else {}
    )


def _plan_files(plan: Plan, folder: Path | None, look: dict[str, Any]) -> dict[Path, bytes]:
    from router.drawing import draw_map
    from router.outputs import bill_csv, plan_json
    from router.reviews import planned_route, route_yaml
    from router.sheet import make_sheet

    if folder is None:
        return {}
    drawn = _drawn(draw_map, plan, look)
    on_sheets = draw_map(plan, **_for_a_page(look)) if look != _for_a_page(look) else drawn
    return {
        folder / "map.svg": drawn.encode(),
        folder / "sheet.html": make_sheet(plan, on_sheets, look["date"]).encode(),
        folder / "bill.csv": bill_csv(plan),
        folder / "plan.json": _json_text({**plan_json(plan), "seen_from": look["seen_from"]}).encode(),
        folder / "route.yaml": route_yaml(planned_route(plan)),
    }


def _judged(job: Path, route: Path, practice_path: Path | None) -> Judgement:
    from router.judging import judge_route
    from router.plan import make_plan
    from router.reading import read_question, read_route

    question = read_question(job, practice_path)
    drawn = read_route(route, question.job, question.profile)
    planned = None
    _progress(f"planning {question.job.name}, to compare with")
    with contextlib.suppress(NoAnswerError):  # what was drawn is judged all the same
        planned = make_plan(question.job, question.profile, question.practice)
    return judge_route(question.job, question.profile, question.practice, drawn, planned)


def _approved(judged: Judgement, by: str, on: str, job: Path, folder: Path) -> bytes:
    from datetime import date

    from router.judging import approve
    from router.reviews import route_yaml

    try:
        day = date.fromisoformat(on).isoformat()
    except ValueError:
        raise click.BadParameter(f'"{on}" is no date; write e.g. 2026-03-14') from None
    named = Path(os.path.relpath(job.resolve(), folder.resolve())).as_posix()
    return route_yaml(approve(judged, by, day), named)


def _fitted(judged: Judgement, path: Path) -> tuple[FittedRun, ...]:
    from router.fitted import LEAST_VEHICLES, compare_fitted
    from router.reading import read_used_lengths

    runs = {run.drawn.route.run: run for run in judged.runs}
    used = read_used_lengths(path, runs)
    few = [name for name, lengths in used.items() if len(lengths) < LEAST_VEHICLES]
    if few or not used:
        raise click.UsageError(f"{path} has too few lengths of {', '.join(few) or 'any run'}; two at least")
    return tuple(
        compare_fitted(name, runs[name].length_mm, runs[name].allowances_mm, lengths)
        for name, lengths in used.items()
    )


def _tell_review(
    judged: Judgement, fitted: Sequence[FittedRun], files: dict[Path, bytes], as_json: bool
) -> None:
    from router.outputs import write_whole
    from router.reviews import fitted_data, fitted_words, review_json, review_words

    write_whole(files)
    if as_json:
        data = review_json(judged)
        _print_json({**data, "as_fitted": [fitted_data(each) for each in fitted]} if fitted else data)
        return
    click.echo(review_words(judged))
    for each in fitted:
        click.echo(fitted_words(each))
    if files:
        click.echo(f"written into {next(iter(files)).parent}: {', '.join(path.name for path in files)}")


def _review_files(judged: Judgement, folder: Path, look: dict[str, Any]) -> dict[Path, bytes]:
    from router.drawing import draw_judgement
    from router.sheet import make_review

    drawn = _drawn(draw_judgement, judged, look)
    on_sheets = draw_judgement(judged, **_for_a_page(look)) if look != _for_a_page(look) else drawn
    return {
        folder / "map.svg": drawn.encode(),
        folder / "review.html": make_review(judged, on_sheets).encode(),
    }


def _review_folder(folder: Path, job: Path | None, practice_path: Path | None, as_json: bool) -> int:
    """Review every route file of a folder, one line each; the worst of their exit codes."""
    from router.judging import judge_route
    from router.reading import is_route, job_of_route, read_question, read_route
    from router.reviews import review_json, review_line

    routes = [path for path in sorted(folder.glob("*.yaml")) if is_route(path)]
    if not routes:
        raise click.UsageError(f"there is no route file in {folder}")
    results, code = [], DONE
    for path in routes:
        try:
            question = read_question(job or job_of_route(path), practice_path)
            drawn = read_route(path, question.job, question.profile)
        except UnreadableError as error:
            click.echo(str(error), err=True)
            code = UNREADABLE
            continue
        judged = judge_route(question.job, question.profile, question.practice, drawn)
        results.append({"file": path.name, **review_json(judged)})
        code = code if judged.stands else max(code, NO_ANSWER)
        if not as_json:
            click.echo(review_line(path.name, judged))
    if as_json:
        _print_json(results)
    return code


def _folder_beside(job: Path) -> Path:
    """Return where a job's files go by default: beside it, named so that two jobs never share one."""
    if job.is_dir():
        return job / "plan"
    return job.parent / ("plan" if job.name == "job.yaml" else f"{job.stem}-plan")


def _checked(path: Path) -> dict[str, Any]:
    from router.reading import check_file

    try:
        return {"file": str(path), "kind": check_file(path), "faults": []}
    except UnreadableError as error:
        return {"file": str(path), "kind": None, "faults": [str(fault) for fault in error.faults]}


def _profile_data(key: str, profile: Profile) -> dict[str, Any]:
    return {
        "name": key,
        "vehicle": profile.name,
        "revision": profile.revision,
        "measured_on": profile.measured_on,
        "variants": list(profile.variants),
    }


def _in_words(rule: Rule) -> str:
    return f"{rule.value:g}" if rule.unit in ("ratio", "count") else f"{rule.value:g} {rule.unit}"


def _print_columns(rows: Sequence[Sequence[str]]) -> None:
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    for row in rows:
        click.echo("  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip())


def _json_text(data: object) -> str:
    import json

    return json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def _print_json(data: object) -> None:
    click.echo(_json_text(data).encode(), nl=False)


def _progress(words: str) -> None:
    if sys.stderr.isatty():
        click.echo(f"{words} ...", err=True)


def _one_line(words: str) -> str:
    return " ".join(words.split())
