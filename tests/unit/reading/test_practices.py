"""Practice files: the default one, and a shop's on top of it."""

from pathlib import Path

import pytest

import router.tables
from router.errors import UnreadableError
from router.model.practice import Status
from router.model.vehicle import SpaceKind
from router.reading import check_file, read_practice
from router.reading.practice import practice_file, practices
from router.reading.practice.practice_file import default_groups, practice_model
from router.tables import load_table

DEFAULT = Path(router.tables.__file__).parent / "practice.yaml"


@pytest.fixture
def shop(tmp_path):
    def read(rules):
        path = tmp_path / "house.yaml"
        path.write_text(f"practice: House rules\nbased-on: default\n{rules}")
        return read_practice(path)

    return read


def test_every_value_of_the_default_file_arrives_with_its_source():
    practice = read_practice()
    written = {
        (group, key): rule
        for group, rules in load_table("practice").items()
        if isinstance(rules, dict)
        for key, rule in rules.items()
    }
    assert len(written) > 50
    assert set(practice.rules) == set(written)
    for name, rule in practice.rules.items():
        assert (rule.source, rule.status) == (written[name]["source"], Status(written[name]["status"]))


@pytest.mark.parametrize(
    ("group", "key", "value", "unit"),
    [
        ("clearance", "hot", 200.0, "mm"),
        ("conductor", "drop", 0.03, "ratio"),
        ("conductor", "connection", 0.0001, "ohm"),
        ("fixing", "sharp bend", 45.0, "deg"),
        ("length", "re-terminations", 2.0, "count"),
        ("ambient", "engine bay", 85.0, "degC"),
    ],
)
def test_values_are_in_the_insides_unit(group, key, value, unit):
    """As the file says them: 200 mm, 3 %, 0.0001 ohm, 45 deg, 2 count, 85 degC."""
    rule = read_practice().rule(group, key)
    assert (rule.value, rule.unit) == (value, unit)


def test_the_default_rules_take_no_models_and_are_those_of_the_models(monkeypatch):
    practice_model.cache_clear()
    quick = read_practice()
    assert practice_model.cache_info().currsize == 0
    monkeypatch.setattr(practices, "_default", lambda: None)
    assert read_practice() == quick
    assert list(read_practice().rules) == list(quick.rules)  # plan.json has them in this order
    assert practice_model.cache_info().currsize == 1


@pytest.mark.parametrize(
    "rule",
    [
        {"value": "-5 mm", "source": "a book", "status": "published"},
        {"value": "5 furlong", "source": "a book", "status": "published"},
        {"value": "5 mm", "source": "", "status": "published"},
        {"value": "5 mm", "source": "a book", "status": "hearsay"},
        {"value": "5 mm", "source": "a book"},
        {"value": 5, "source": "a book", "status": "published"},
        "5 mm",
    ],
)
def test_a_default_rule_that_is_wrong_is_left_to_the_models(monkeypatch, rule):
    groups = {**default_groups(), "clearance": {"hot": rule}}
    monkeypatch.setattr(practice_file, "default_groups", lambda: groups)
    assert practices._default() is None


def test_the_default_file_is_a_file_like_others():
    assert check_file(DEFAULT) == "practice"
    assert read_practice(DEFAULT).based_on is None


def test_a_shop_gives_only_what_differs(shop):
    practice, default = shop("clearance: {hot: 10 in}\n"), read_practice()
    assert (practice.name, practice.based_on) == ("House rules", "Default practice")
    rule = practice.rule("clearance", "hot")
    assert (rule.value, rule.source, rule.status) == (254.0, "House rules", Status.SHOP_RULE)
    assert practice.rule("clearance", "fuel") == default.rule("clearance", "fuel")
    assert set(practice.rules) == set(default.rules)


def test_a_shop_gives_a_source(shop):
    practice = shop("clearance: {hot: {value: 0 mm, source: maker's sheet 4, status: published}}\n")
    rule = practice.rule("clearance", "hot")
    assert (rule.value, rule.source, rule.status) == (0.0, "maker's sheet 4", Status.PUBLISHED)


def test_rules_for_a_kind_of_space(shop):
    practice = shop("spacing: {cabin: 250 mm}\nambient: {cabin: -20 degC}\n")
    assert practice.by_space("spacing", SpaceKind.CABIN).value == 250
    assert practice.by_space("ambient", SpaceKind.CABIN).value == -20
    assert practice.by_space("spacing", SpaceKind.BOOT) == read_practice().rule("spacing", "any space")


def test_where_nobody_said_what_a_space_is_the_most_careful_rule_of_all_kinds_stands(shop):
    """The shortest spacing and the hottest air of the shop's own file, whichever kind they are of."""
    practice = shop(
        "spacing: {cabin: 250 mm}\nambient: {boot: 90 degC, any space: 95 degC, engine bay: 20 degC}\n"
    )
    assert practice.by_space("spacing", None).value == 250
    assert practice.by_space("ambient", None).value == 95
    every_kind_named = "".join(f"{kind.value}: {at} degC, " for at, kind in enumerate(SpaceKind, 30))
    practice = shop(f"ambient: {{{every_kind_named}any space: 95 degC}}\n")
    assert practice.by_space("ambient", None).value == 30 + len(SpaceKind) - 1


def test_a_plain_number_will_do_for_a_ratio_or_a_count_only(shop):
    practice = shop("factor: {open: 1, exposed: 1.5}\nlength: {re-terminations: 3}\n")
    assert practice.value("factor", "exposed") == 1.5
    assert practice.value("length", "re-terminations") == 3
    for rules in ("conductor: {drop: 3}\n", "clearance: {hot: 200}\n", "factor: {open: true}\n"):
        with pytest.raises(UnreadableError):
            shop(rules)


@pytest.mark.parametrize(("name", "drop"), [("law", 0.1), ("voluntary", 0.03)])
def test_a_shop_builds_on_a_rule_set_that_comes_along(tmp_path, name, drop):
    """46 CFR 183.340(p): 10 %; ABYC E-11, as quoted in trade literature: 3 %."""
    path = tmp_path / "house.yaml"
    path.write_text(f"practice: House rules\nbased-on: {name}\nclearance: {{hot: 250 mm}}\n")
    practice = read_practice(path)
    assert practice.based_on == read_practice(name).name
    assert (practice.value("clearance", "hot"), practice.value("conductor", "drop")) == (250, drop)


def test_every_rule_set_that_comes_along_is_a_file_without_faults():
    for name in ("default", "law", "voluntary"):
        assert read_practice(name).rules.keys() == read_practice().rules.keys()
    for path in DEFAULT.parent.glob("practice*.yaml"):
        assert check_file(path) == "practice"


def test_a_rule_set_must_say_where_its_values_come_from(tmp_path, monkeypatch):
    path = tmp_path / "practice-law.yaml"
    path.write_text("practice: Law\nbased-on: default\nconductor: {drop: 10 %}\n")
    monkeypatch.setitem(practices.SHIPPED_FILES, "law", path)
    with pytest.raises(UnreadableError, match="drop has no source or no status"):
        read_practice("law")


def test_tables_are_read_once():
    assert load_table("practice") is load_table("practice")
    with pytest.raises(FileNotFoundError):
        load_table("no such table")


def test_a_kind_of_space_that_there_is_not_is_left_to_the_models(monkeypatch):
    spacing = default_groups()["spacing"]
    groups = {"spacing": {**spacing, "underflor": spacing["underfloor"]}}
    monkeypatch.setattr(practice_file, "default_groups", lambda: groups)
    assert practices._default() is None
