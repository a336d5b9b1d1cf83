"""UN Regulation 37: filament lamps.

Source: UN Regulation No. 37, Filament light sources, data sheet PY21/5W, 12 V: objective power at most 26.5
W and 6.6 W at the test voltage of 13.5 V. Of the other lamps only the sum in a trailer's common return is
checked, on powers that the table marks as from memory and on pin 3 of ISO 11446-1.
"""

from __future__ import annotations

import pytest
from conductor_cases import a_circuit_job, a_return, by_name, choose
from small_vehicle import a_conductor, a_run

from router.tables import load_table
from router.tables.lamps import lamp_currents_a


def test_py21_5w():
    assert lamp_currents_a("PY21/5W") == pytest.approx((26.5 / 13.5, 6.6 / 13.5))
    assert lamp_currents_a("PY21/5W") == pytest.approx((1.963, 0.489), rel=5e-3)


def test_only_what_was_read_is_called_published():
    published = [row["lamp"] for row in load_table("lamps")["lamps"] if row["status"] == "published"]
    assert published == ["PY21/5W"]


def test_an_unknown_lamp_is_no_lamp():
    with pytest.raises(KeyError):
        lamp_currents_a("P22W")


def test_worst_current_in_a_trailers_common_return():
    """Hazard 2, stop 2, fog 1, reverse 1 of P21W, and four R5W: 6 x 1.963 + 4 x 0.4074 = 13.41 A."""
    lamps = ["P21W"] * 6 + ["R5W"] * 4
    outs = [a_conductor(f"lamp {n}", load_a=lamp_currents_a(lamp)[0]) for n, lamp in enumerate(lamps)]
    common = a_return("pin 3", *(conductor.name for conductor in outs), size="2.5 mm2")
    job = a_circuit_job(a_run("lead", conductors=(*outs, common)), drop=0.5)
    assert by_name(choose(job, 1000.0))["pin 3"].load_a == pytest.approx(13.41, rel=5e-3)
