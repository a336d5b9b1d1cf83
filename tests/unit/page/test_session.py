"""A folder that is worked on: nothing acknowledged is lost, and nothing of somebody else's either."""

from __future__ import annotations

import json
import os
import shutil

import pytest
from page_stand_in import ROOT, set_to

from router.page.edits import LISTS, RefusedError
from router.page.folder_files import FolderError
from router.page.session import Session, StaleError
from router.reading import json_schema

PROFILE = "profile: Van      # as measured\nunit: mm\nkeep-outs:\n  - {name: pipe, hazard: hot}  # hot\n"


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "van").mkdir()
    (tmp_path / "van" / "profile.yaml").write_text(PROFILE)
    return tmp_path / "van"


@pytest.fixture
def session(folder):
    session = Session(folder)
    yield session
    session.close()


def held(folder, name="profile.yaml"):
    return (folder / name).read_bytes().decode()


def test_an_edit_is_in_the_file_and_in_the_journal_before_anybody_is_told(session, folder):
    session.edit(0, None, [set_to(["profile"], "Truck")])
    assert held(folder) == PROFILE.replace("Van", "Truck")
    line = json.loads(held(folder, "sketch.journal").splitlines()[-1])
    assert (line["revision"], line["changes"]) == (1, [["profile", 9, "Van", "Truck"]])


def test_edits_of_one_group_in_a_row_are_one_step_of_undo(session, folder):
    for number in range(3):
        session.edit(number, "drag 1", [set_to(["keep-outs", 0, "name"], f"pipe {number}")])
    session.edit(3, "drag 2", [set_to(["keep-outs", 0, "hazard"], "fuel")])
    session.undo(4)
    assert "pipe 2, hazard: hot" in held(folder)
    session.undo(5)
    assert held(folder) == PROFILE
    session.redo(6)
    session.redo(7)
    assert "pipe 2, hazard: fuel" in held(folder)


def test_a_group_ends_where_something_else_was_done(session, folder):
    session.edit(0, "drag", [set_to(["profile"], "A")])
    session.edit(1, None, [set_to(["unit"], "in")])
    session.edit(2, "drag", [set_to(["profile"], "B")])
    session.undo(3)
    assert held(folder).startswith("profile: A ")


def test_edits_of_one_command_are_made_all_or_none(session, folder):
    with pytest.raises(RefusedError):
        session.edit(0, None, [set_to(["profile"], "A"), set_to(["keep-outs", 7, "name"], "none")])
    assert (held(folder), session.revision) == (PROFILE, 0)


def test_a_window_that_does_not_know_the_newest_state_changes_nothing(session, folder):
    session.edit(0, None, [set_to(["profile"], "A")])
    with pytest.raises(StaleError):
        session.edit(0, None, [set_to(["profile"], "B")])
    assert held(folder).startswith("profile: A ")


@pytest.mark.parametrize(
    "edit",
    [
        {"file": "other", "op": "set", "path": ["a"], "value": "b"},
        {"file": "profile", "op": "eval", "path": ["a"], "value": "b"},
        {"file": "profile", "op": "set", "path": "profile", "value": "b"},
        {"file": "profile", "op": "set", "path": [True], "value": "b"},
        {"file": "profile", "op": "set", "path": [], "value": "b"},
        {"file": "profile", "op": "set", "path": ["a"], "value": None},
        {"file": "profile", "op": "set", "path": ["a"], "value": "line\nbreak"},
        {"file": "profile", "op": "set", "path": ["a"], "value": "\udc80"},
        {"file": "profile", "op": "set", "path": ["a"], "value": 1e40},
        {"file": "profile", "op": "set", "path": ["a"], "value": "b", "more": 1},
        {"file": "profile", "op": "remove", "path": ["nothing"]},
        {"file": "profile", "op": "add", "path": ["profile"], "value": "b"},
        {"file": "profile", "op": "text", "value": 1},
        {"file": "profile", "op": "text", "value": "\ud800"},
        {"file": "profile", "op": "text", "value": "a" * 2_000_001},
        "set",
    ],
)
def test_an_edit_that_cannot_be_made_is_refused_in_words(session, folder, edit):
    with pytest.raises(RefusedError) as error:
        session.edit(0, None, [edit])
    assert error.value.faults[0]["what"]
    assert held(folder) == PROFILE


def test_a_profile_that_is_no_yaml_can_be_replaced_by_its_text_alone(folder):
    (folder / "profile.yaml").write_bytes(b"profile: [\xff\xfe\r\n")
    session = Session(folder)
    with pytest.raises(RefusedError):
        session.edit(0, None, [set_to(["profile"], "A")])
    session.edit(0, None, [{"file": "profile", "op": "text", "value": PROFILE}])
    assert held(folder) == PROFILE
    session.undo(1)
    session.close()
    assert (folder / "profile.yaml").read_bytes() == b"profile: [\xff\xfe\r\n"


def test_a_file_that_was_not_there_is_not_there_again_when_it_is_undone(session, folder):
    session.edit(0, None, [set_to(["job"], "Lamp", "job")])
    assert held(folder, "job.yaml") == "job: Lamp\n"
    session.undo(1)
    assert not (folder / "job.yaml").exists()
    session.redo(2)
    assert held(folder, "job.yaml") == "job: Lamp\n"


def test_the_lists_that_are_made_are_those_of_the_files():
    """Every key that holds a list of mappings, by the files' own JSON Schema."""
    found = set()
    for schema in map(json_schema, ("profile", "job")):
        for part in (schema, *schema["$defs"].values()):
            for key, value in part.get("properties", {}).items():
                kinds = [value, *value.get("anyOf", [])]
                if any(each.get("type") == "array" and "$ref" in str(each["items"]) for each in kinds):
                    found.add(key)
    assert found == LISTS


# other programs


def test_what_another_program_did_is_a_question_and_nothing_is_written_over_it(session, folder):
    (folder / "profile.yaml").write_text("profile: Theirs\n")
    with pytest.raises(StaleError):
        session.edit(0, None, [set_to(["profile"], "Mine")])
    assert held(folder) == "profile: Theirs\n"
    told = session.summary()
    assert (told["outside"]["file"], told["outside"]["theirs"]) == ("profile", "profile: Theirs\n")
    assert session.texts["profile"] == PROFILE


def test_theirs_is_taken_and_undo_has_mine(session, folder):
    (folder / "profile.yaml").write_text("profile: Theirs\n")
    assert session.look()
    session.answer("profile", "theirs")
    assert (session.texts["profile"], session.outside) == ("profile: Theirs\n", None)
    session.undo(session.revision)
    assert held(folder) == PROFILE


def test_mine_is_kept_and_undo_has_theirs(session, folder):
    (folder / "profile.yaml").write_text("profile: Theirs\n")
    session.look()
    session.answer("profile", "mine")
    assert (held(folder), session.outside) == (PROFILE, None)
    session.undo(session.revision)
    assert held(folder) == "profile: Theirs\n"


def test_an_answer_to_what_was_seen_is_no_answer_to_what_came_after(session, folder):
    (folder / "profile.yaml").write_text("profile: Theirs\n")
    session.look()
    (folder / "profile.yaml").write_text("profile: Theirs again\n")
    with pytest.raises(StaleError):
        session.answer("profile", "mine")
    assert held(folder) == "profile: Theirs again\n"
    assert session.summary()["outside"]["theirs"] == "profile: Theirs again\n"


def test_a_change_that_keeps_time_and_size_is_seen_before_anything_is_written(session, folder):
    path = folder / "profile.yaml"
    before = path.stat()
    with path.open("r+") as file:
        file.write("profile: Bus")
    os.utime(path, ns=(before.st_atime_ns, before.st_mtime_ns))
    assert path.stat().st_size == before.st_size
    with pytest.raises(StaleError):
        session.edit(0, None, [set_to(["unit"], "in")])
    assert held(folder).startswith("profile: Bus")


def test_a_question_ends_where_the_other_program_puts_everything_back(session, folder):
    (folder / "profile.yaml").unlink()
    assert session.look() and session.summary()["outside"] == {"file": "profile", "theirs": None, "what": ""}
    (folder / "profile.yaml").write_text(PROFILE)
    assert session.look() and session.outside is None
    session.edit(0, None, [set_to(["unit"], "in")])
    assert "unit: in" in held(folder)


def test_two_files_are_asked_of_one_after_the_other(session, folder):
    (folder / "profile.yaml").write_text("profile: Theirs\n")
    (folder / "job.yaml").write_text("job: Theirs\n")
    session.look()
    session.answer("profile", "theirs")
    assert session.outside.file == "job"
    session.answer("job", "mine")
    assert session.outside is None and not (folder / "job.yaml").exists()


def test_what_cannot_be_read_is_said_and_not_written_over(session, folder):
    (folder / "profile.yaml").unlink()
    (folder / "profile.yaml").symlink_to(ROOT / "README.md")
    session.look()
    assert session.summary()["outside"]["what"] == "profile.yaml is a link; put the file itself there"
    with pytest.raises(RefusedError, match="move it away first"):
        session.answer("profile", "mine")
    assert (folder / "profile.yaml").is_symlink()


# begun again


def reopened(session, folder):
    session.close()
    return Session(folder)


def test_undo_goes_back_beyond_the_last_start(session, folder):
    session.edit(0, "drag", [set_to(["profile"], "A")])
    session = reopened(session, folder)
    session.edit(1, "drag", [set_to(["profile"], "B")])
    session.undo(2)
    assert held(folder).startswith("profile: A ")
    session.undo(3)
    session.close()
    assert held(folder) == PROFILE


def test_what_was_changed_meanwhile_is_taken_over_and_can_be_undone(session, folder):
    session.edit(0, None, [set_to(["profile"], "A")])
    session.close()
    (folder / "profile.yaml").write_text(PROFILE)  # put back by hand, exactly as it was
    session = Session(folder)
    assert (session.texts["profile"], session.revision) == (PROFILE, 2)
    session.undo(2)
    session.close()
    assert held(folder).startswith("profile: A ")


def crashed(session, folder, into):
    """A copy of the folder as a kill leaves it: no goodbye in the journal."""
    shutil.copytree(folder, into)
    return into


def test_a_write_that_a_crash_cut_off_is_finished(session, folder, tmp_path):
    session.edit(0, None, [set_to(["profile"], "A"), set_to(["job"], "Lamp", "job")])
    other = crashed(session, folder, tmp_path / "crashed")
    (other / "profile.yaml").write_text(PROFILE)  # in the journal, not yet in its file
    again = Session(other)
    assert (again.revision, held(other).startswith("profile: A ")) == (1, True)
    again.undo(1)
    again.close()
    assert held(other) == PROFILE and not (other / "job.yaml").exists()


def test_a_file_that_is_neither_as_before_nor_as_after_is_somebody_elses(session, folder, tmp_path):
    session.edit(0, None, [set_to(["profile"], "A")])
    other = crashed(session, folder, tmp_path / "crashed")
    (other / "profile.yaml").write_text("profile: Theirs\n")
    again = Session(other)
    again.close()
    assert held(other) == "profile: Theirs\n" and again.texts["profile"] == "profile: Theirs\n"


@pytest.mark.parametrize("torn", [b'{"revision":2,"kind":"ed', b"\x00\x00\x00", b'{"revision":2,"ki\n'])
def test_a_torn_last_line_is_left_out(session, folder, tmp_path, torn):
    session.edit(0, None, [set_to(["profile"], "A")])
    other = crashed(session, folder, tmp_path / "crashed")
    with (other / "sketch.journal").open("ab") as file:
        file.write(torn)
    again = Session(other)
    assert (again.revision, again.said) == (1, "")
    again.edit(1, None, [set_to(["profile"], "B")])
    again.close()
    again = Session(other)
    assert (again.revision, again.said) == (2, "")
    again.undo(2)
    again.undo(3)
    again.close()
    assert held(other) == PROFILE


def test_a_journal_that_is_none_is_put_aside_and_the_files_stay(session, folder):
    session.close()
    (folder / "sketch.journal").write_text("something else\nof somebody\n")
    session = Session(folder)
    assert session.said.startswith("sketch.journal is put aside as sketch.journal.1: ")
    assert (folder / "sketch.journal.1").read_text() == "something else\nof somebody\n"
    assert session.texts["profile"] == PROFILE
    session.close()


def test_a_long_journal_lets_go_of_its_oldest_commands_only(session, folder, monkeypatch):
    for number in range(30):
        session.edit(number, None, [set_to(["profile"], f"Van {number}")])
    session.undo(30)
    session.undo(31)
    session.redo(32)
    session.close()
    long = (folder / "sketch.journal").stat().st_size
    monkeypatch.setattr("router.page.session.LARGEST", 1000)
    monkeypatch.setattr("router.page.session.KEPT_COMMANDS", 10)
    for _ in range(2):  # the second start finds a journal that began late
        session = Session(folder)
        assert (folder / "sketch.journal").stat().st_size < long / 2
        assert (session.revision, held(folder)[:15]) == (33, "profile: Van 28")
        session.close()
    session = Session(folder)
    while session.history.done:
        session.undo(session.revision)
    session.close()
    assert held(folder).startswith(
        "profile: Van 22 "
    )  # of 33 commands the last ten: Van 23 to Van 29, and three


# folders


def test_a_second_server_on_the_folder_is_refused(session, folder):
    with pytest.raises(FolderError, match="another `underbody sketch` works in"):
        Session(folder)
    session.edit(0, None, [set_to(["profile"], "A")])
    assert held(folder).startswith("profile: A ")


def test_a_folder_that_is_not_there_is_made(tmp_path):
    session = Session(tmp_path / "new")
    session.close()
    assert sorted(path.name for path in (tmp_path / "new").iterdir()) == ["sketch.journal"]


@pytest.mark.parametrize("name", ["profile.yaml", "job.yaml", "sketch.journal"])
def test_a_link_is_not_followed(tmp_path, name):
    (tmp_path / "other").write_text("theirs\n")
    folder = tmp_path / "van"
    folder.mkdir()
    (folder / name).symlink_to(tmp_path / "other")
    with pytest.raises(FolderError, match=f"{name} in .* is a link"):
        Session(folder)
    assert (tmp_path / "other").read_text() == "theirs\n"


def test_folders_that_cannot_be_worked_in_are_refused_in_a_line(tmp_path, folder):
    (tmp_path / "file").write_text("")
    with pytest.raises(FolderError, match="it is a file"):
        Session(tmp_path / "file")
    with pytest.raises(FolderError, match=r"cannot work in .*: No such file or directory"):
        Session(tmp_path / "none" / "deeper")
    (folder / "job.yaml").mkdir()
    with pytest.raises(FolderError, match=r"job.yaml cannot be read: Is a directory"):
        Session(folder)
    (folder / "job.yaml").rmdir()
    (folder / "job.yaml").write_bytes(b"a" * 2_000_001)
    with pytest.raises(FolderError, match=r"job.yaml is larger than 2 MB"):
        Session(folder)
    (folder / "job.yaml").unlink()
    Session(folder).close()  # none of the refusals holds the folder


@pytest.mark.skipif(os.getuid() == 0, reason="root may write everywhere")
def test_a_folder_of_somebody_else_is_refused(folder):
    folder.chmod(0o500)
    with pytest.raises(FolderError, match="cannot write into"):
        Session(folder)
    folder.chmod(0o700)


def test_a_disk_that_takes_nothing_changes_nothing(session, folder, monkeypatch):
    def full(*_):
        raise OSError(28, "No space left on device")

    journal = held(folder, "sketch.journal")
    with monkeypatch.context() as patch:
        patch.setattr(session.files, "write", full)
        with pytest.raises(OSError, match="No space left"):
            session.edit(0, None, [set_to(["profile"], "A")])
    assert (held(folder), held(folder, "sketch.journal"), session.revision) == (PROFILE, journal, 0)
    session.edit(0, None, [set_to(["profile"], "B")])
    assert held(folder).startswith("profile: B ")
