"""Every text of a map against what it is written on, by WCAG 2.2: at least 4.5 to 1."""

from __future__ import annotations

import pytest
from contrast import contrast
from sample_plan import sample_plan
from svg_reading import SVG, group, parse

from router.drawing import draw_map

LEAST = 4.5  # WCAG 2.2, success criterion 1.4.3, for text of ordinary size


@pytest.fixture(scope="module")
def root():
    return parse(draw_map(sample_plan()))


def test_every_text_is_dark_enough_for_paper_or_its_halo(root):
    signals = set(group(root, "cautions").iter(f"{SVG}text"))
    texts = [text for text in root.iter(f"{SVG}text") if text not in signals and text.get("stroke") is None]
    assert len(texts) > 200
    for text in texts:
        assert contrast(text.get("fill"), "#fff") >= LEAST, text.text


def test_signal_words_stand_out_from_their_fields(root):
    cautions = group(root, "cautions")
    fields = cautions.findall(f"{SVG}rect")
    words = [text for text in cautions.findall(f"{SVG}text") if text.text.isupper()]
    assert len(fields) == len(words) > 3
    for field, word in zip(fields, words, strict=True):
        assert contrast(word.get("fill"), field.get("fill")) >= LEAST, word.text


def test_no_lettering_is_smaller_than_can_be_read_at_arms_length(root):
    # ISO 3098-1 has 2.5 mm as its second smallest height of letters; nothing here is smaller.
    assert min(float(text.get("font-size")) for text in root.iter(f"{SVG}text")) >= 2.5


def test_no_caution_is_cut(root):
    assert not [text.text for text in group(root, "cautions").iter(f"{SVG}text") if "…" in text.text]
