"""What a plan is written as: plan.json, bill.csv, and the files of a plan whole or not at all."""

from __future__ import annotations

import contextlib
import csv
import io
import json
import os
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import chain
from pathlib import Path
from typing import Any, TypeAlias

from router.errors import NoRouteError, Pinch
from router.facts import course_in_words
from router.model.plan import (
    Allowance,
    Alternative,
    BillLine,
    Breakout,
    ClearanceCheck,
    ConductorChoice,
    Finding,
    Fixing,
    FuseChoice,
    HeatSleeve,
    Loom,
    Passage,
    Plan,
    Reason,
    RoutePoint,
    RouteReason,
    RunPlan,
    Span,
    Station,
)
from router.model.practice import Practice, Rule
from router.signals import held
from router.writing.temporaries import Temporaries, sweep_temporaries

Content: TypeAlias = bytes | Iterable[bytes]
"""Of a file; in parts where it may be long."""
FORMAT = "plan/1"
DECIMALS = 3
"""Of mm, A, V and percent in plan.json: a micrometre is finer than anything that was measured."""

_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")
"""What a spreadsheet takes for the beginning of a formula."""


def plan_json(plan: Plan) -> dict[str, Any]:
    """Return a plan as plain data in the format plan/1: lengths in mm, currents in A, rounded to 0.001.

    The same plan gives the same data, key for key, in the same order.
    """
    profile = plan.profile
    return {
        "format": FORMAT,
        "job": plan.job.name,
        "profile": {
            "key": profile.key,
            "name": profile.name,
            "revision": profile.revision,
            "variant": profile.variant,
        },
        "practice": plan.practice.name,
        "loom_diameter_mm": _number(plan.loom_diameter_mm),
        "effort": _number(plan.effort_mm),
        "effort_apart": _number(plan.apart_effort_mm),
        "findings": [_finding(finding) for finding in plan.findings],
        "tightest": [{"run": check.run, **_clearance(check)} for check in plan.tightest()],
        "runs": [_run(run) for run in plan.runs],
        "looms": [_loom(loom) for loom in plan.looms],
        "bill": [_bill_line(line) for line in plan.bill],
    }


def no_route_json(error: NoRouteError) -> dict[str, Any]:
    """Return why there is no plan as plain data: the words, and the pinch with what would open a route."""
    return {"format": FORMAT, "no_route": {"why": error.why, "pinch": _pinch(error.pinch)}}


def json_text(data: object) -> str:
    """Return data as JSON that a person can read too; a number that is none is refused."""
    return json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def practice_json(practice: Practice) -> dict[str, Any]:
    """Return the rules in force as plain data: by group and key, with unit, source and status."""
    rules: dict[str, dict[str, Any]] = {}
    for (group, key), rule in practice.rules.items():
        rules.setdefault(group, {})[key] = {
            "value": rule.value,
            "unit": rule.unit,
            "source": rule.source,
            "status": str(rule.status),
        }
    return {"practice": practice.name, "based_on": practice.based_on, "rules": rules}


def bill_csv(plan: Plan) -> bytes:
    """Return the bill as a CSV file that a spreadsheet opens safely.

    UTF-8 with a byte order mark and CRLF, as spreadsheets expect; numbers stay numbers; a text that a
    spreadsheet would take for a formula gets an apostrophe in front. A cut of a conductor tells its length
    in words: its total is a line of the bill, too, and what is summed must not count it twice.
    """
    heads = ("item", "spec", "quantity", "unit", "where", "source", "status")
    rows = [{head: getattr(line, head) for head in heads} for line in plan.bill]
    for row in rows:
        if row["item"] == "conductor, cut":
            row |= {"quantity": "", "unit": "", "where": f"{row['quantity']:g} {row['unit']}, {row['where']}"}
    return csv_bytes(heads, [tuple(row.values()) for row in rows])


def csv_bytes(heads: Sequence[str], rows: Iterable[Sequence[str | float]]) -> bytes:
    """Return a table as a CSV file that a spreadsheet opens safely; numbers are rounded to 0.001."""
    return b"".join(csv_lines(heads, rows))


def csv_lines(heads: Sequence[str], rows: Iterable[Sequence[str | float]]) -> Iterator[bytes]:
    """Yield a CSV file line by line, for tables that need not be held as a whole."""
    yield b"\xef\xbb\xbf"
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    for row in chain([heads], rows):
        writer.writerow([_harmless(cell) if isinstance(cell, str) else _number(cell) for cell in row])
        yield text.getvalue().encode()
        text.seek(0)
        text.truncate()


def write_whole(files: Mapping[Path, Content]) -> None:
    """Write all files, or none: each appears whole under its name, or is left as it was.

    Everything is first written beside its place under a temporary name and flushed to the disk, which is
    where a full disk or a read-only folder shows; only then do the files take their names, one after the
    other. Where that fails half-way, those already changed are put back. A key press waits for the end. What
    a killed writer has left in these folders is removed.

    Raises
    ------
    OSError
        With a message of one line that names the file.
    """
    with held():
        made = [folder for path in files for folder in _make_folder(path.parent)]
        folders = {path.parent: None for path in files}
        try:
            for path in files:
                if path.exists() and not path.is_file():
                    raise OSError(f"cannot write {path}: it is {'a folder' if path.is_dir() else 'no file'}")
            for folder in folders:
                sweep_temporaries(folder)
            with Temporaries(folders) as temporaries:
                _take_names({path: _written(temporaries, path, files[path]) for path in files}, temporaries)
        except OSError as error:
            raise _one_line(error, files) from error
        finally:
            _remove_if_empty(made)
        for folder in folders:
            _sync_folder(folder)


def _run(run: RunPlan) -> dict[str, Any]:
    length = run.length
    return {
        "name": run.name,
        "from": run.start,
        "to": run.end,
        "points": [_point(point) for point in run.route.points],
        "passages": [_passage(passage) for passage in run.route.passages],
        "routed_mm": _number(length.routed_mm),
        "allowances": [_allowance(allowance) for allowance in length.allowances],
        "uncertainty_mm": _number(length.uncertainty_mm),
        "worst_case_mm": _number(length.worst_case_mm),
        "cut_mm": _number(length.cut_mm),
        "effort": _number(run.route.effort_mm),
        "gap": float(f"{run.route.gap:.3g}"),
        "loom_diameter_mm": _number(run.loom_diameter_mm),
        "stations": [_station(station) for station in run.stations],
        "fixings": [_fixing(fixing) for fixing in run.fixings],
        "clearances": [_clearance(check) for check in run.clearances],
        "conductors": [_conductor(choice) for choice in run.conductors],
        "fuse": _fuse(run.fuse) if run.fuse else None,
        "heat_sleeves": [_sleeve(sleeve) for sleeve in run.heat_sleeves],
        "breakouts": [_breakout(breakout) for breakout in run.breakouts],
        "spans": [_span(span) for span in run.spans],
        "reasons": [_way_reason(reason) for reason in run.reasons],
        "alternatives": [_alternative(alternative) for alternative in run.alternatives],
    }


def _pinch(pinch: Pinch | None) -> dict[str, Any] | None:
    if pinch is None:
        return None
    return {
        "run": pinch.run,
        "space": pinch.space,
        "at": [_number(value) for value in pinch.at_mm] if pinch.at_mm else None,
        "between": list(pinch.between),
        "width_mm": _number_or_none(pinch.width_mm),
        "needed_mm": _number_or_none(pinch.needed_mm),
        "relaxations": [
            {
                "kind": relaxation.kind,
                "name": relaxation.name,
                "from_mm": _number_or_none(relaxation.from_mm),
                "to_mm": _number_or_none(relaxation.to_mm),
                "what": relaxation.what,
            }
            for relaxation in pinch.relaxations
        ],
    }


def _number_or_none(value: float | None) -> float | int | None:
    return None if value is None else _number(value)


def _number(value: float) -> float | int:
    """Return a number rounded to 0.001, whole ones without a point, so never minus nought."""
    rounded = round(float(value), DECIMALS)
    return int(rounded) if rounded.is_integer() else rounded


def _rule(rule: Rule | None) -> dict[str, Any] | None:
    if rule is None:
        return None
    return {"name": rule.name, "source": rule.source, "status": str(rule.status)}


def _finding(finding: Finding) -> dict[str, Any]:
    return {
        "kind": finding.kind,
        "severity": str(finding.severity),
        "run": finding.run,
        "station": None if finding.station_mm is None else _number(finding.station_mm),
        "what": finding.what,
        "required": finding.required,
        "actual": finding.actual,
        "rule": _rule(finding.rule),
    }


def _point(point: RoutePoint) -> dict[str, Any]:
    return {
        "space": point.space,
        "x": _number(point.x_mm),
        "y": _number(point.y_mm),
        "z": _number(point.z_mm),
        "station": _number(point.station_mm),
        "along": point.along,
    }


def _passage(passage: Passage) -> dict[str, Any]:
    return {
        "kind": str(passage.kind),
        "name": passage.name,
        "from_station": _number(passage.from_station_mm),
        "to_station": _number(passage.to_station_mm),
    }


def _way_reason(reason: RouteReason) -> dict[str, Any]:
    return {
        "station": _number(reason.station_mm),
        "to_station": _number(reason.to_station_mm),
        "why": reason.why,
        "keep_out": reason.keep_out,
        "support": reason.support,
        "opening": reason.opening,
        "member": reason.member,
        "rule": _rule(reason.rule),
    }


def _alternative(alternative: Alternative) -> dict[str, Any]:
    route = alternative.route
    return {
        "way": course_in_words(route),
        "differs": list(alternative.differs),
        "routed_mm": _number(route.routed_mm),
        "effort": _number(route.effort_mm),
        "more_effort": _number(alternative.more_effort_mm),
        "worse": list(alternative.worse),
        "clearances": [_clearance(check) for check in alternative.clearances],
        "points": [_point(point) for point in route.points],
        "passages": [_passage(passage) for passage in route.passages],
    }


def _allowance(allowance: Allowance) -> dict[str, Any]:
    return {"why": allowance.why, "mm": _number(allowance.length_mm), "rule": _rule(allowance.rule)}


def _station(station: Station) -> dict[str, Any]:
    return {"station": _number(station.station_mm), "what": station.what, "detail": station.detail}


def _fixing(fixing: Fixing) -> dict[str, Any]:
    return {
        "number": fixing.number,
        "station": _number(fixing.station_mm),
        "kind": str(fixing.kind),
        "support": fixing.support,
        "space": fixing.space,
        "x": _number(fixing.x_mm),
        "y": _number(fixing.y_mm),
        "z": _number(fixing.z_mm),
        "why": fixing.why,
    }


def _clearance(check: ClearanceCheck) -> dict[str, Any]:
    return {
        "keep_out": check.keep_out,
        "hazard": str(check.hazard),
        "required_mm": _number(check.required_mm),
        "actual_mm": _number(check.actual_mm),
        "station": _number(check.station_mm),
        "rule": _rule(check.rule),
    }


def _reasons(reasons: tuple[Reason, ...]) -> list[dict[str, str]]:
    return [{"what": reason.what, "source": reason.source, "status": reason.status} for reason in reasons]


def _conductor(choice: ConductorChoice) -> dict[str, Any]:
    return {
        "name": choice.name,
        "colour": choice.colour,
        "size": choice.size,
        "area_mm2": _number(choice.area_mm2),
        "outside_mm": _number(choice.outside_mm),
        "length_mm": _number(choice.length_mm),
        "load_a": _number(choice.load_a),
        "ampacity_a": _number(choice.ampacity_a),
        "drop_v": _number(choice.drop_v),
        "drop_percent": _number(100 * choice.drop_fraction),
        "function": choice.function,
        "pin": choice.pin,
        "load_drop_v": _number_or_none(choice.load_drop_v),
        "decided_by": choice.decided_by,
        "copper_kg": _number(choice.copper_kg),
        "reasons": _reasons(choice.reasons),
    }


def _fuse(fuse: FuseChoice) -> dict[str, Any]:
    return {
        "conductor": fuse.conductor,
        "rating_a": _number(fuse.rating_a),
        "colour": fuse.colour,
        "station": _number(fuse.station_mm),
        "furthest": _number(fuse.furthest_mm),
        "reasons": _reasons(fuse.reasons),
    }


def _breakout(breakout: Breakout) -> dict[str, Any]:
    return {
        "station": _number(breakout.station_mm),
        "leave": list(breakout.leave),
        "join": list(breakout.join),
    }


def _span(span: Span) -> dict[str, Any]:
    return {
        "from_station": _number(span.from_station_mm),
        "to_station": _number(span.to_station_mm),
        "allowed_mm": _number(span.rule.value),
        "rests_on": list(span.rests_on),
        "rule": _rule(span.rule),
    }


def _sleeve(sleeve: HeatSleeve) -> dict[str, Any]:
    return {
        "from_station": _number(sleeve.from_station_mm),
        "to_station": _number(sleeve.to_station_mm),
        "keep_out": sleeve.keep_out,
    }


def _loom(loom: Loom) -> dict[str, Any]:
    return {
        "runs": list(loom.runs),
        "from_station": _number(loom.from_station_mm),
        "to_station": _number(loom.to_station_mm),
        "conductors": list(loom.conductors),
        "bundle_mm": _number(loom.bundle_mm),
        "loom": loom.loom,
        "bore_mm": _number(loom.bore_mm),
        "outside_mm": _number(loom.outside_mm),
        "length_mm": _number(loom.length_mm),
        "reasons": _reasons(loom.reasons),
    }


def _bill_line(line: BillLine) -> dict[str, Any]:
    return {
        "item": line.item,
        "spec": line.spec,
        "quantity": _number(line.quantity),
        "unit": line.unit,
        "where": line.where,
        "source": line.source,
        "status": line.status,
    }


def _harmless(text: str) -> str:
    return f"'{text}" if text.startswith(_FORMULA_STARTS) else text


def _make_folder(folder: Path) -> list[Path]:
    """Make a folder and those above it; return the ones that were not there, the deepest first."""
    missing = [each for each in (folder, *folder.parents) if not each.exists()]
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        _remove_if_empty(missing)
        raise OSError(f"cannot make the folder {folder}: {error.strerror or error}") from error
    return missing


def _remove_if_empty(folders: list[Path]) -> None:
    for folder in folders:
        with contextlib.suppress(OSError):
            folder.rmdir()  # refuses where something is in it


def _written(temporaries: Temporaries, path: Path, content: Content) -> Path:
    """Return the temporary file beside a place that now holds its content."""
    temporary = temporaries.name_in(path.parent)
    with temporary.open("xb") as file:
        for part in (content,) if isinstance(content, bytes) else content:
            file.write(part)
        file.flush()
        os.fsync(file.fileno())
    return temporary


def _take_names(written: Mapping[Path, Path], temporaries: Temporaries) -> None:
    before = {path: path.read_bytes() if path.exists() else None for path in written}
    taken: list[Path] = []
    try:
        for path, temporary in written.items():
            temporary.replace(path)
            taken.append(path)
    except BaseException:
        for path in taken:
            _put_back(path, before[path], temporaries)
        raise


def _put_back(path: Path, content: bytes | None, temporaries: Temporaries) -> None:
    if content is None:
        path.unlink(missing_ok=True)
    else:
        _written(temporaries, path, content).replace(path)


def _one_line(error: OSError, files: Mapping[Path, Content]) -> OSError:
    if error.errno is None:
        return error
    folders = ", ".join(sorted({str(path.parent) for path in files}))
    return OSError(f"cannot write into {folders}: {error.strerror}")


def _sync_folder(folder: Path) -> None:
    """Make the new names themselves safe against a power cut, where the system can."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
