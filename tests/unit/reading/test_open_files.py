"""Files as somebody has them open stand before those on the disk, and only where and while they are held."""

from __future__ import annotations

import pytest

from router.errors import Fault
from router.reading import check_file, holding, library_folder, open_file, what_and_cure
from router.reading.files import is_file, is_folder, plain_bytes
from router.reading.yaml.mended import as_far_as_read


def test_what_is_held_stands_before_the_disk_and_goes_again(tmp_path):
    file = tmp_path / "job.yaml"
    file.write_text("saved", encoding="utf-8")
    with holding({file: "open"}):
        assert plain_bytes(tmp_path / "x" / ".." / "job.yaml", 9) == b"open"
        with holding({tmp_path / "other.yaml": "too"}):
            assert (plain_bytes(file, 9), plain_bytes(tmp_path / "other.yaml", 9)) == (b"open", b"too")
    assert plain_bytes(file, 9) == b"saved"
    assert not is_file(tmp_path / "other.yaml")


def test_a_file_that_is_held_as_not_there_is_not_there(tmp_path):
    file = tmp_path / "job.yaml"
    file.write_text("saved", encoding="utf-8")
    with holding({file: None, tmp_path / "new.yaml": "x"}):
        assert (is_file(file), is_file(tmp_path / "new.yaml")) == (False, True)
        assert not is_folder(tmp_path / "new.yaml")
        with pytest.raises(FileNotFoundError):
            plain_bytes(file, 9)


def test_a_file_is_checked_as_it_is_held(tmp_path):
    text = (library_folder() / "dunlin-lwb.yaml").read_text(encoding="utf-8")
    with holding({tmp_path / "profile.yaml": text}):
        assert check_file(tmp_path / "profile.yaml") == "profile"


BRACKET = "a:\n  - {name: one, at: [1, 2]}\n  - {name: two, at: [1, 2}\n  - {name: three}\nb: c\n"


def test_lines_that_spoil_a_file_are_left_out_and_the_others_keep_their_place(tmp_path):
    file = open_file(tmp_path / "profile.yaml", BRACKET)
    assert file.data is None
    assert file.document is not None
    assert file.document.data == {"a": [{"name": "one", "at": [1, 2]}, {"name": "three"}], "b": "c"}
    assert file.document.place(("a", 1, "name")).line == 4


@pytest.mark.parametrize("text", ["", "- a\n- b\n", "\x00", "a: " + "[" * 100, "{" * 30 + "\n" + "{" * 30])
def test_what_has_no_keys_at_all_is_nothing(text):
    assert as_far_as_read(text, "job.yaml") is None


@pytest.mark.parametrize(
    ("words", "what", "cure"),
    [
        ("width is missing; write e.g. width: 2 mm", "width is missing", "write e.g. width: 2 mm"),
        ('unknown space "a; b"; known: a', 'unknown space "a; b"', "known: a"),
        ('is "5" wide"; check it', 'is "5" wide"', "check it"),
        ("is out of date", "is out of date", ""),
        ("one; two; three", "one", "two; three"),
    ],
)
def test_what_and_cure_are_told_apart_outside_quotes(words, what, cure):
    assert what_and_cure(Fault("job.yaml", 1, 1, "", words)) == (what, cure)
