"""Jobs and whole questions."""

from pathlib import Path

import pytest

from router.errors import UnreadableError
from router.model.job import Duty, Fuse, Series
from router.model.practice import Status
from router.reading import check_file, read_question

FOLDER = Path(__file__).parents[2] / "refusals"
EXAMPLES = sorted((Path(__file__).parents[3] / "examples").glob("*/job.yaml"))
JOB = f"""\
job: Rear lamp
profile: {FOLDER}/vehicles/heron.yaml
source: {{nominal: 12 V, resting: 12.6 V, at: battery positive}}
runs:
  - run: supply
    from: battery positive
    to: rear lamp
    conductors:
      - {{name: feed, colour: red, load: 21 W}}
      - {{name: back, colour: black, returns: feed, size: 2.50 mm²}}
"""


@pytest.fixture
def ask(tmp_path):
    def read(text, name="job.yaml", practice=None, **others):
        for other, content in others.items():
            (tmp_path / f"{other}.yaml").write_text(content)
        path = tmp_path / name
        path.write_text(text)
        return read_question(path, practice, trusts_paths=True)  # the vehicles of other tests

    return read


def test_what_a_job_leaves_out(ask):
    question = ask(JOB)
    job = question.job
    assert (job.series, job.insulation_c, job.variant, job.practice) == (Series.METRIC, 100.0, None, None)
    assert job.limits.drop_fraction == question.practice.value("conductor", "drop")
    assert job.limits.ambient_c == {}
    (run,) = job.runs
    assert (run.fuse, run.via, run.avoid) == (None, (), ())
    feed, back = run.conductors
    assert (feed.duty, feed.size, feed.returns, feed.fed_by) == (Duty.CONTINUOUS, None, (), None)
    assert (back.load_a, back.size, back.returns) == (0.0, "2.5 mm2", ("feed",))


def test_a_power_is_divided_by_the_nominal_voltage(ask):
    """I = P / U, at the source's nominal voltage: 21 W / 12 V."""
    assert ask(JOB).job.runs[0].conductors[0].load_a == 1.75
    assert ask(JOB.replace("21 W", "1500 mA")).job.runs[0].conductors[0].load_a == 1.5


@pytest.mark.parametrize(
    ("written", "fuse"), [("", None), ("\n    fuse: auto", Fuse(None)), ("\n    fuse: 7.5 A", Fuse(7.5))]
)
def test_a_fuse_absent_chosen_or_given(ask, written, fuse):
    assert ask(JOB.replace("to: rear lamp", f"to: rear lamp{written}")).job.runs[0].fuse == fuse


def test_everything_a_job_may_say(ask):
    head = "variant: tow bar\nseries: awg\ninsulation: 85 degC\n"
    head += "limits: {drop: 10 %, ambient: {underfloor: -5 degC}}\n"
    ways = "to: rear lamp\n    via: left sill\n    avoid: [middle crossmember]"
    job = ask(JOB.replace("to: rear lamp", ways).replace("runs:", head + "runs:")).job
    assert (job.variant, job.series, job.insulation_c) == ("tow bar", Series.AWG, 85.0)
    assert (job.limits.drop_fraction, dict(job.limits.ambient_c)) == (0.1, {"underfloor": -5.0})
    assert (job.runs[0].via, job.runs[0].avoid) == (("left sill",), ("middle crossmember",))


def test_what_a_variant_removes_the_job_cannot_use(ask):
    avoiding = JOB.replace("to: rear lamp", "to: rear lamp\n    avoid: floor panel")
    assert ask(avoiding).job.runs[0].avoid == ("floor panel",)
    with pytest.raises(UnreadableError, match=r'unknown .* "floor panel"'):
        ask(avoiding.replace("runs:", "variant: tow bar\nruns:"))


def test_names_of_outputs(ask, tmp_path):
    assert ask(JOB, name="lamp.yaml").job.key == "lamp"
    assert ask(JOB).job.key == tmp_path.name
    assert (
        read_question(tmp_path, trusts_paths=True).job.key == tmp_path.name
    )  # a folder stands for its job.yaml


def test_practice_of_the_job_and_of_the_command(ask, tmp_path):
    house = "practice: House\nbased-on: default\nclearance: {hot: 321 mm}\n"
    with_house = JOB.replace("runs:", "practice: house.yaml\nruns:")
    assert ask(with_house, house=house).practice.value("clearance", "hot") == 321
    other = tmp_path / "other.yaml"
    other.write_text(house.replace("321", "123"))
    assert ask(with_house, practice=other, house=house).practice.value("clearance", "hot") == 123


def test_a_rule_set_by_name_and_a_file_of_that_name_before_it(ask, tmp_path):
    job = JOB.replace("runs:", "practice: law\nruns:")
    assert ask(job).practice.name == "Law"
    assert ask(job, practice="voluntary").practice.name == "Voluntary standard"
    (tmp_path / "law").write_text("practice: Own law\nbased-on: law\n")
    assert ask(job).practice.name == "Own law"


def test_faults_of_all_files_come_together(ask):
    text = (
        JOB.replace("vehicles/heron", "vehicles/bad-heron")
        .replace("12 V", "12")
        .replace("runs:", "practice: house.yaml\nruns:")
    )
    with pytest.raises(UnreadableError) as refusal:
        ask(text, house="practice: House\nclearance: {hot: 3 A}\n")
    files = [Path(fault.file).name for fault in refusal.value.faults]
    assert files[0] == "job.yaml"
    assert sorted(files) == ["bad-heron.yaml", "house.yaml", "house.yaml", "job.yaml"]


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.parent.name)
def test_the_examples_read(path):
    assert check_file(path) == "job"
    question = read_question(path.parent)
    assert question.profile.key == question.job.profile
    assert question.profile.variant == question.job.variant


def test_there_are_examples():
    assert len(EXAMPLES) >= 4


def test_status_of_rules_in_a_question(ask):
    assert ask(JOB).practice.rule("clearance", "fuel").status is Status.PUBLISHED
