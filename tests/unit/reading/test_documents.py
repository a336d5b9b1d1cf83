"""The YAML door: caps, meaning of plain words, places."""

import textwrap
import time
from pathlib import Path

import pytest

from router.errors import UnreadableError
from router.reading.yaml.documents import (
    DEEPEST,
    LONGEST_TEXT,
    MOST_BYTES,
    MOST_VALUES,
    FilePosition,
    read_document,
)


@pytest.fixture
def read(tmp_path):
    def read_text(text):
        path = tmp_path / "file.yaml"
        path.write_bytes(text if isinstance(text, bytes) else textwrap.dedent(text).encode())
        return read_document(path, "file.yaml")

    return read_text


def refusal(read, text):
    with pytest.raises(UnreadableError) as refused:
        read(text)
    return str(refused.value)


@pytest.mark.parametrize(
    ("written", "read_as"),
    [
        # YAML 1.1 readers make of these: 90, 10, False, True, a date, infinity, 1000.0, 1000, 16, 83
        ("1:30", "1:30"),
        ("012", "012"),
        ("no", "no"),
        ("On", "On"),
        ("2026-03-14", "2026-03-14"),
        (".inf", ".inf"),
        ("1e3", "1e3"),
        ("1_000", "1_000"),
        ("0x10", "0x10"),
        ("0o123", "0o123"),
        ("True", "True"),
        (".5", ".5"),
        ("5.", "5."),
        ("9999999999999999", "9999999999999999"),
        # YAML 1.2 core schema: these are what they look like
        ("7", 7),
        ("-820", -820),
        ("0", 0),
        ("-0.5", -0.5),
        ("12.60", 12.6),
        ("true", True),
        ("false", False),
        ("'7'", "7"),
        ('"true"', "true"),
        ("40 mm", "40 mm"),
    ],
)
def test_plain_words_keep_their_meaning(read, written, read_as):
    value = read(f"a: {written}\n").data["a"]
    assert value == read_as
    assert type(value) is type(read_as)


@pytest.mark.parametrize("nothing", ["", "~", "null", " # comment"])
def test_nothing_is_no_value(read, nothing):
    (fault,) = read(f"profile: x\nwidth: {nothing}\n").faults
    assert "width has nothing in it; write a value, or take it out" in str(fault)


def test_places_of_values_and_keys(read):
    document = read(
        """\
        profile: Heron
        keep-outs:
          - name: prop shaft
            along: [[1, 2], [30, 40]]
        """
    )
    assert document.place(("profile",)) == FilePosition(1, 10)
    assert document.place(("keep-outs", 0, "along", 1)) == FilePosition(4, 21)
    assert document.place(("keep-outs", 0, "along"), of_key=True) == FilePosition(4, 5)
    assert document.place(("keep-outs", 0, "width")) == document.place(("keep-outs", 0)) == FilePosition(3, 5)


def test_columns_count_characters_not_bytes(read):
    assert read("a: {größe: 7, b: 8}\n").place(("a", "b")) == FilePosition(1, 18)


def test_a_byte_order_mark_and_carriage_returns_are_taken(read):
    document = read(b"\xef\xbb\xbfprofile: Heron\r\nrevision: 3\r\n")
    assert document.data == {"profile": "Heron", "revision": 3}
    assert document.place(("revision",)) == FilePosition(2, 11)


def test_more_than_two_megabytes_are_refused(read):
    assert "is larger than 2 MB" in refusal(read, b"#" * (MOST_BYTES + 1))
    assert read(b"a: 1\n" + b"#" * (MOST_BYTES - 5)).data == {"a": 1}


def test_too_many_values_are_refused(read):
    assert f"more than {MOST_VALUES} values" in refusal(read, f"a: [{'1,' * MOST_VALUES}1]\n")


def test_depth_is_capped(read):
    def nested(levels):
        return f"a: {'[' * levels}1{']' * levels}\n"

    assert read(nested(DEEPEST - 1)).data
    assert f"deeper than {DEEPEST} levels" in refusal(read, nested(DEEPEST + 1))


def test_a_long_value_is_a_fault_among_others(read):
    document = read(f"profile: {'a' * (LONGEST_TEXT + 1)}\njob: &x y\n")
    assert [fault.line for fault in document.faults] == [1, 2]
    assert f"more than {LONGEST_TEXT} characters" in str(document.faults[0])
    assert read(f"profile: {'a' * LONGEST_TEXT}\n").faults == ()


@pytest.mark.parametrize("text", ["profile: &{} x", "{}: 1", "profile: !{} x"])
def test_long_texts_are_refused(read, text):
    assert f"more than {LONGEST_TEXT} characters" in refusal(read, text.format("a" * (LONGEST_TEXT + 1)))


@pytest.mark.parametrize(
    "text",
    [
        "a: " + "[" * 400_000,
        "a: " + "{" * 400_000,
        "- " * 500_000,
        "? " * 500_000,
        "%" * 1_000_000,
        "a: " * 300_000,
    ],
)
def test_hostile_files_are_refused_at_once(read, text):
    began = time.process_time()
    refusal(read, text)
    assert time.process_time() - began < 5


def test_aliases_are_never_followed(read):
    """The 396-byte bomb: ten levels of ten aliases each, ten thousand million values when written out."""
    bomb = "a0: &a0 [x, x, x, x, x, x, x, x, x, x]\n" + "".join(
        f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 10)}]\n" for n in range(1, 10)
    )
    document = read(bomb)
    assert document.data["a9"] == [None] * 10
    assert len(document.faults) == 10 + 9 * 10  # every anchor and every alias


def test_equal_keys_the_first_stands_and_both_lines_are_named(read):
    document = read("profile: x\na: 1\nb: {c: [1, 2]}\na: {d: [3, {e: 4}]}\nb: 5\nf: 6\n")
    assert document.data == {"profile": "x", "a": 1, "b": {"c": [1, 2]}, "f": 6}
    assert [str(fault) for fault in document.faults] == [
        'file.yaml:4:1: key "a" is written twice, in lines 2 and 4; keep one',
        'file.yaml:5:1: key "b" is written twice, in lines 3 and 5; keep one',
    ]


def test_what_cannot_be_opened(tmp_path):
    for path, words in (
        (tmp_path / "none.yaml", "there is no such file"),
        (tmp_path, "is a folder; name a file"),
    ):
        with pytest.raises(UnreadableError, match=words):
            read_document(path)
    with pytest.raises(UnreadableError, match="cannot be read"):
        read_document(Path("a\0b.yaml"))


def test_a_file_that_is_not_there_is_guessed_from_its_folder(tmp_path):
    (tmp_path / "puffin.yaml").write_text("profile: x\n", encoding="utf-8")
    with pytest.raises(UnreadableError) as caught:
        read_document(tmp_path / "pufin.yaml", "pufin.yaml")
    assert str(caught.value) == 'pufin.yaml:1:1: there is no such file; did you mean "puffin.yaml"?'
    with pytest.raises(UnreadableError, match=r"there is no such file$"):
        read_document(tmp_path / "zzz", "zzz")
    with pytest.raises(UnreadableError, match=r"there is no such file$"):
        read_document(tmp_path / "nowhere" / "zzz", "zzz")


@pytest.mark.parametrize(
    ("text", "place"),
    [("profile: x\n\trevision: 1\n", "2:1"), ("profile:\n  - a\n  \t- b\n", "3:3"), ("a:\n\tb: 1\n", "2:1")],
)
def test_a_tab_is_called_a_tab(read, text, place):
    with pytest.raises(UnreadableError) as caught:
        read(text)
    assert str(caught.value) == f"file.yaml:{place}: has a tab; indent with blanks"
