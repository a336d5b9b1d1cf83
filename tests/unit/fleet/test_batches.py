"""Plans that share a search: worked out together, the search once, and the same bytes as each by itself."""

import math
from concurrent.futures import Future

import pytest
from small_fleets import JOB, write_fleet
from test_fleet import content, fleet_command, run_apart

import router.fleet.running
import router.fleet.working
import router.routing.job_routes
from router.drawing import ROLL_WIDTH_MM, DrawingOptions
from router.fleet.executors import SerialExecutor, Workforce, open_executor
from router.fleet.running import make_plans, read_wanted
from router.fleet.store import Store
from router.reading import FleetReader

LOADS = {"lamp": "2 A", "second lamp": "2.1 A", "third lamp": "2.2 A", "heater": "40 A"}
"""By job; the heater's copper is thicker, and so is its loom."""
OPTIONS = DrawingOptions("below", "a4", ROLL_WIDTH_MM, scale=None)


def write_options(folder, count=1, loads=LOADS):
    """Write a fleet of so many vehicles that each get the same run with several loads; return its file."""
    path = write_fleet(folder, count)
    jobs = []
    for name, load in loads.items():
        (folder / f"{name}.yaml").write_text(JOB.replace("load: 2 A", f"load: {load}"), encoding="utf-8")
        jobs.append(f"  {name}: {name}.yaml")
    text = path.read_text(encoding="utf-8").replace("jobs: {lamp: job.yaml}", "\n".join(["jobs:", *jobs]))
    path.write_text(text, encoding="utf-8")
    return path


@pytest.fixture
def searches(monkeypatch):
    """Count the searches for the routes of a job."""
    real, found = router.routing.job_routes.lay_together, []

    def counted(job, profile, *arguments, **named):
        found.append(profile.key)
        return real(job, profile, *arguments, **named)

    monkeypatch.setattr(router.routing.job_routes, "lay_together", counted)
    return found


@pytest.fixture
def batches(monkeypatch):
    """List the jobs of every batch, by the fleet's order of their plans."""
    real, handed_over = router.fleet.running.plan_together, []

    def listed(asked, options):
        loads = [str(question.job.runs[0].conductors[0].load_a) for _, question in asked]
        handed_over.append((asked[0][1].profile.key, loads))
        return real(asked, options)

    monkeypatch.setattr(router.fleet.running, "plan_together", listed)
    return handed_over


def count_searches(searches, fleet, out):
    searches.clear()
    assert fleet_command(fleet, out) == 0
    return len(searches)


def test_what_differs_in_its_load_alone_is_searched_once(tmp_path, searches):
    one, thick = (
        count_searches(
            searches, write_options(tmp_path / name, 1, {name: LOADS[name]}), tmp_path / f"{name} out"
        )
        for name in ("lamp", "heater")
    )
    assert one >= 1 and thick >= 1
    assert count_searches(searches, write_options(tmp_path / "all"), tmp_path / "out") == one + thick


def test_what_came_of_it_is_as_by_itself(tmp_path, monkeypatch):
    fleet = write_options(tmp_path / "fleet", 2)
    assert fleet_command(fleet, tmp_path / "together") == 0
    monkeypatch.setattr(router.fleet.running, "MOST_TOGETHER", 1)
    assert fleet_command(fleet, tmp_path / "apart") == 0
    together = content(tmp_path / "together")
    assert len(list((tmp_path / "together" / "plans").iterdir())) == 2 * len(LOADS)
    assert together == content(tmp_path / "apart")


def test_processes_give_the_same_bytes_of_plans_that_share(tmp_path):
    fleet = write_options(tmp_path / "fleet", 2)
    assert fleet_command(fleet, tmp_path / "here") == 0
    done = run_apart(fleet, "--out", tmp_path / "there", "--workers", 2)
    assert done.returncode == 0, done.stderr
    assert content(tmp_path / "there") == content(tmp_path / "here")


def test_batches_are_of_one_vehicle_and_one_thickness(tmp_path, batches):
    fleet = write_options(tmp_path / "fleet", 2)
    lines = fleet.read_text(encoding="utf-8").splitlines()
    vehicles = [number for number, line in enumerate(lines) if "profile: vehicle-" in line]
    lines.insert(vehicles[-1] + 1, lines[vehicles[0]].replace("{", "{name: one more, "))  # asks nothing new
    fleet.write_text("\n".join(lines), encoding="utf-8")
    assert len(vehicles) == 2 and fleet_command(fleet, tmp_path / "out") == 0
    thin = ["2.0", "2.1", "2.2"]
    assert batches == [(key, loads) for key in ("vehicle-0", "vehicle-1") for loads in (thin, ["40.0"])]


def test_plans_of_one_vehicle_come_together_wherever_the_fleet_names_it(tmp_path, batches):
    """The fleet gives each job a vehicle of its own, by turns of two models."""
    loads = {"lamp": "2 A", "second lamp": "2.1 A"}
    fleet = write_options(tmp_path / "fleet", 2, loads)
    text = fleet.read_text(encoding="utf-8")
    head, tail = text[: text.index("vehicles:")], text[text.index("stock:") :]
    vehicles = [
        f"  - {{name: {job} in {number}, profile: vehicle-{number}.yaml, count: 1, jobs: [{job}]}}"
        for job in loads
        for number in range(2)
    ]
    fleet.write_text("\n".join([f"{head}vehicles:", *vehicles, tail]), encoding="utf-8")
    assert fleet_command(fleet, tmp_path / "out") == 0
    assert batches == [("vehicle-0", ["2.0", "2.1"]), ("vehicle-1", ["2.0", "2.1"])]


class Workers(SerialExecutor):
    """Does each thing at once, and says how many plans each batch has."""

    def __init__(self):
        self.sizes = []

    def submit(self, fn, /, asked, options) -> Future:
        self.sizes.append(len(asked))
        return super().submit(fn, asked, options)


@pytest.mark.parametrize(("size", "sizes"), [(1, [5]), (2, [3, 2]), (4, [2, 2, 1]), (8, [1] * 5)])
def test_no_worker_gets_more_than_its_share(tmp_path, size, sizes):
    loads = {f"lamp {number}": f"2.{number} A" for number in range(5)}
    reader, store = FleetReader(write_options(tmp_path / "fleet", 1, loads)), Store(tmp_path / "out")
    store.want(read_wanted(reader, OPTIONS))
    workers = Workers()
    assert make_plans(reader, store, OPTIONS, Workforce(workers, size), lambda _: None) == ()
    store.close()
    assert workers.sizes == sizes and max(sizes) == math.ceil(5 / size)


def test_one_fault_of_the_program_takes_no_other_plan_of_its_batch_along(tmp_path, monkeypatch, capsys):
    real, made = router.fleet.working.plan_one, []

    def fails_at_the_second(key, question, options):
        made.append(question.job.runs[0].conductors[0].load_a)
        if made == [2.0, 2.1]:
            raise ZeroDivisionError("by hand")
        return real(key, question, options)

    monkeypatch.setattr(router.fleet.working, "plan_one", fails_at_the_second)
    fleet, out = write_options(tmp_path / "fleet"), tmp_path / "out"
    assert fleet_command(fleet, out) == 70
    assert "vehicle-0, second lamp: ZeroDivisionError: by hand" in capsys.readouterr().err
    assert made == [2.0, 2.1, 2.2, 40.0]
    assert fleet_command(fleet, out) == 0
    assert made[4:] == [2.1]


SAMPLERS = {"profile", "profile-cycle"}
"""As dask names them."""


def test_dask_workers_note_nothing_of_their_time_meanwhile():
    """Neither one that was there before nor one that comes later; afterwards they do as before."""
    distributed = pytest.importorskip("distributed")

    def running(worker):
        return {name for name, each in worker.periodic_callbacks.items() if each.is_running()} & SAMPLERS

    with distributed.LocalCluster(
        n_workers=1, threads_per_worker=1, processes=False, protocol="tcp://", dashboard_address=None
    ) as cluster:
        before = running(cluster.workers[0])
        with open_executor(cluster.scheduler_address) as workforce:
            assert workforce.executor.submit(pow, 2, 5).result() == 32
            cluster.scale(2)
            cluster.wait_for_workers(2)
            workers = list(cluster.workers.values())
            during = [running(worker) for worker in workers]
        after = [running(worker) for worker in workers]
    assert before == SAMPLERS
    assert during == [set(), set()] and after == [SAMPLERS, SAMPLERS]
