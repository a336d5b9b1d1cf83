"""The counts of the package keep to their limits, and the counting notices where they do not."""

from measure_code import over

BAD = '''
def long(a, b, c):
    """Do much."""
''' + "".join(f"    a{n} = {n}\n" for n in range(51))


def test_the_package_keeps_to_its_limits():
    table, faults = over()
    assert len(table) == 10
    assert faults == []


def test_a_long_function_that_does_not_say_what_it_takes_is_named(tmp_path):
    package = tmp_path / "router" / "search"
    package.mkdir(parents=True)
    (package / "__init__.py").write_text('"""Words."""\n\n__all__ = ["long"]\n')
    (package / "much.py").write_text(BAD.replace("(a, b, c)", "(a: Any, b: int, c: int)"))
    (package / "little.py").write_text('def little(d: int) -> int:\n    """Return it."""\n    return d\n')
    _, faults = over(tmp_path)
    assert "search/much.py:2: long has 52 code lines" in faults
    assert "search/much.py:2: long takes 3 parameters" in faults
    assert any("Any" in fault and "0.25" in fault for fault in faults)
