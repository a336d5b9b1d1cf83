"""Temperature classes of insulation.

Sources: ISO 6722-1:2011 Road vehicles - 60 V and 600 V single-core cables, temperature classes A to H: 85,
100, 125, 150, 175, 200, 225 and 250 degC (GB/T equivalents print the same). SAE J1128 Low voltage primary
cable, as quoted in trade literature: GPT, HDT, TWP of PVC 85 degC; GXL, SXL, TXL cross-linked 125 degC. ISO
6722-2:2013, scope: 60 V cable is for systems of no more than 60 V d.c.
"""

from __future__ import annotations

import pytest

from router.model.job import Series
from router.reading.job.insulation_words import insulation_class_c, usual_insulation_c
from router.tables import insulation_classes_c, insulation_names, most_planned_v

ISO = {"A": 85, "B": 100, "C": 125, "D": 150, "E": 175, "F": 200, "G": 225, "H": 250}
SAE = {"GPT": 85, "HDT": 85, "TWP": 85, "GXL": 125, "SXL": 125, "TXL": 125}


def test_the_table_has_these_classes_and_no_other():
    expected = {f"class {letter}": float(class_c) for letter, class_c in ISO.items()}
    assert insulation_names() == {**expected, **SAE}


@pytest.mark.parametrize("letter", ISO)
def test_a_class_by_its_letter_or_its_temperature(letter):
    assert insulation_class_c(f"class {letter}") == insulation_class_c(f"{ISO[letter]} degC") == ISO[letter]


@pytest.mark.parametrize(
    "written", ["60 degC", "80 degC", "90 degC", "105 degC", "130 degC", "300 degC", "class J"]
)
def test_what_is_no_class_is_refused_with_one_that_is(written):
    with pytest.raises(ValueError, match=r"ISO 6722 class|did you mean"):
        insulation_class_c(written)


@pytest.mark.parametrize("series", list(Series))
def test_what_a_job_leaves_out_is_a_class_of_its_series(series):
    standard = "SAE J1128" if series is Series.SAE else "ISO 6722"
    assert usual_insulation_c(series) in insulation_classes_c(standard)


def test_nothing_is_planned_above_what_60_v_cable_is_for():
    assert most_planned_v()[0] == 60
