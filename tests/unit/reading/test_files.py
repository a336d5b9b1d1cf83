"""What is read at all: plain files, and by what another file names only those near it."""

from __future__ import annotations

import os
import shutil
import threading
from pathlib import Path

import pytest

from router.errors import UnreadableError
from router.reading import FleetReader, check_file, job_of_route, library, read_question, read_used_lengths
from router.reading.files import is_file, is_folder, shut_out

ROOT = Path(__file__).parents[3]
VAN = ROOT / "profiles/dunlin-lwb.yaml"
JOB = (ROOT / "examples/fridge-supply/job.yaml").read_text(encoding="utf-8")
FLEET = "fleet: Ours\njobs: {{lamp: {job}}}\nvehicles: [{{profile: {profile}, count: 1}}]\n"


@pytest.fixture
def shop(tmp_path, monkeypatch) -> Path:
    """Return a shop with a profile and a job two folders down; we work elsewhere, and live elsewhere."""
    (tmp_path / "elsewhere").mkdir()
    monkeypatch.chdir(tmp_path / "elsewhere")
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    shop = tmp_path / "disk/shop"
    (shop / "profiles").mkdir(parents=True)
    shutil.copy(VAN, shop / "profiles/van.yaml")
    shutil.copy(VAN, tmp_path / "disk/outside.yaml")
    (shop / "jobs/x").mkdir(parents=True)
    return shop


def write_job(folder: Path, profile: object, practice: str = "") -> Path:
    text = JOB.replace("profile: dunlin-lwb", f"profile: {profile}")
    text += f"practice: {practice}\n" if practice else ""
    (folder / "job.yaml").write_text(text, encoding="utf-8")
    return folder / "job.yaml"


def refusal(read, *arguments, **options) -> str:
    with pytest.raises(UnreadableError) as refused:
        read(*arguments, **options)
    return str(refused.value)


@pytest.mark.parametrize("profile", ["../../profiles/van.yaml", "dunlin-lwb", "van", VAN])
def test_a_shops_own_profiles_and_the_library_are_found(shop, profile):
    shutil.copy(VAN, shop / "jobs/x/van.yaml")
    assert read_question(write_job(shop / "jobs/x", profile)).profile.name.startswith("Dunlin")
    assert VAN in dict(library()).values()  # its path leads out of the shop


@pytest.mark.parametrize("is_there", [True, False])
@pytest.mark.parametrize("is_absolute", [True, False])
def test_what_lies_outside_is_refused_and_nothing_is_told_of_it(shop, is_there, is_absolute):
    outside = shop.parent / "outside.yaml"
    if not is_there:
        outside.unlink()
    named = str(outside) if is_absolute else "../../../outside.yaml"
    job = write_job(shop / "jobs/x", named)
    words = (
        f'{job}:3:10: "{named}" leads out of {shop}, further than a file may look that could be a stranger\'s'
    )
    assert (
        refusal(read_question, job)
        == f"{words}; put what it names in there, or trust its paths: --trust-paths"
    )
    assert refusal(check_file, job).startswith(words)


def test_a_file_that_is_trusted_may_name_anything(shop):
    job = write_job(shop / "jobs/x", shop.parent / "outside.yaml")
    assert read_question(job, trusts_paths=True).profile.name.startswith("Dunlin")
    assert check_file(job, trusts_paths=True) == "job"


def test_links_are_followed_before_they_are_judged(shop):
    (shop / "jobs/x/linked.yaml").symlink_to(shop.parent / "outside.yaml")
    (shop / "jobs/x/near.yaml").symlink_to(shop / "profiles/van.yaml")
    assert "leads out of" in refusal(read_question, write_job(shop / "jobs/x", "linked.yaml"))
    assert "leads out of" in refusal(read_question, write_job(shop / "jobs/x", "linked"))
    assert read_question(write_job(shop / "jobs/x", "near.yaml"))
    (shop / "jobs/x/round.yaml").symlink_to("round.yaml")
    assert refusal(read_question, write_job(shop / "jobs/x", "round.yaml"))


def test_the_folder_that_we_work_in_counts_where_the_job_is_in_it(shop, monkeypatch):
    deep = shop / "jobs/x/2026/march"
    deep.mkdir(parents=True)
    job = write_job(deep, "../../../../profiles/van.yaml")
    assert f"leads out of {shop}/jobs/x," in refusal(read_question, job)
    monkeypatch.chdir(shop)
    assert read_question(job)


def test_the_home_folder_and_what_is_above_are_never_looked_through(shop, monkeypatch):
    """A job in ~/Downloads/stranger: two folders up is the home folder, which is too high."""
    home = shop.parent / "home/me"
    (home / "Downloads/stranger").mkdir(parents=True)
    shutil.copy(VAN, home / "private.yaml")
    monkeypatch.setenv("HOME", str(home))
    job = write_job(home / "Downloads/stranger", "../../private.yaml")
    for work in (home, shop.parent):
        monkeypatch.chdir(work)
        assert f"leads out of {home}/Downloads," in refusal(read_question, job)
    assert shut_out(Path("/etc/passwd"), Path("/srv"), trusts_paths=False)


def test_practice_fleet_and_route_are_held_to_the_same(shop):
    shutil.copy(VAN, shop.parent / "outside.yaml")
    assert "leads out of" in refusal(read_question, write_job(shop / "jobs/x", "dunlin-lwb", "/etc/hostname"))
    job = write_job(shop / "jobs/x", "dunlin-lwb")
    fleet = shop / "jobs/fleet.yaml"
    outside = shop.parent.parent / "far"
    outside.mkdir()
    write_job(outside, "dunlin-lwb")
    for named in ({"job": outside, "profile": "dunlin-lwb"}, {"job": "x", "profile": "/etc/hostname"}):
        fleet.write_text(FLEET.format(**named), encoding="utf-8")
        assert "leads out of" in refusal(check_file, fleet)
    fleet.write_text(FLEET.format(job=outside, profile="dunlin-lwb"), encoding="utf-8")
    assert list(FleetReader(fleet, trusts_paths=True).questions())
    route = shop / "jobs/x/route.yaml"
    way = "runs: [{run: supply, way: [{space: underfloor, points: [[0, 0], [1, 1]]}]}]"
    route.write_text(f"route: R\nformat: route/1\njob: {outside}\n{way}\n", encoding="utf-8")
    assert "leads out of" in refusal(job_of_route, route)
    assert job_of_route(route, trusts_paths=True) == outside
    route.write_text(f"route: R\nformat: route/1\njob: .\n{way}\n", encoding="utf-8")
    assert job_of_route(route) == job.parent


def test_the_shipped_files_keep_to_the_rule(monkeypatch, tmp_path):
    monkeypatch.chdir(tmp_path)
    paths = sorted(path for path in (ROOT / "examples").iterdir() if path.is_dir())
    assert len(paths) > 4
    for path in paths:
        assert check_file(path) in ("job", "fleet")


def test_pipes_and_devices_are_refused_at_once(tmp_path):
    pipe = tmp_path / "pipe.yaml"
    os.mkfifo(pipe)
    words = ":1:1: cannot be read: it is a pipe or a device; save it as a file first"
    told: list[str] = []

    def ask() -> None:
        for path in (pipe, Path("/dev/zero")):
            told.append(refusal(check_file, path))
            told.append(refusal(read_used_lengths, path, ()))

    asking = threading.Thread(target=ask, daemon=True)  # opening a pipe would wait for ever
    asking.start()
    asking.join(20)
    assert told == [f"{pipe}{words}"] * 2 + [f"/dev/zero{words}"] * 2


def test_names_that_no_file_can_have_are_those_of_none(shop):
    for odd in ("a" * 300, "a\0b"):
        assert not is_file(Path(odd)) and not is_folder(Path(odd))
        assert ":1:1: cannot be read: " in refusal(check_file, Path(odd))
    assert "there is no" in refusal(
        read_question, write_job(shop / "jobs/x", f"{'a' * 190}/{'b' * 290}.yaml")
    )
