"""Pages being filled: what is too long goes on, in columns and over pages, and nothing is lost or laid over."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.crates.registry import methods
from nesting.drawings.packet.page import Column, Flow
from nesting.drawings.packet.paper import PAPERS
from nesting.drawings.packet.phrases import lines, said
from nesting.drawings.scene import POINT, Scene, Text
from nesting.drawings.typeface import LEAST, printable
from tests.nesting.drawings.overlap import beyond_paper, overlaps

texts = st.text(st.characters(codec="utf-8"), max_size=220)


def scenes(flow: Flow) -> list[Scene]:
    return [draft.scene(n, len(flow.pages), "order") for n, draft in enumerate(flow.pages, start=1)]


@settings(max_examples=40)
@given(st.lists(st.tuples(st.sampled_from("phctbs"), texts), max_size=60), st.sampled_from([1, 2, 3]))
def test_whatever_is_written_stays_on_the_page_and_apart(things: list[tuple[str, str]], columns: int) -> None:
    paper = PAPERS["a4"]
    flow = Flow(paper, "section", "A title", "and more")
    flow.in_columns(columns)
    for kind, text in things:
        if kind == "p":
            flow.paragraph(text, indent=20, mark="7")
        elif kind == "h":
            flow.heading(text)
        elif kind == "c":
            flow.caution(text)
        elif kind == "t":
            flow.table([Column("no.", 0.3, "end"), Column("what", 1), Column("how", 1)], [["1", text, text[::-1]]])
        elif kind == "b":
            flow.blank(text or "label")
        else:
            flow.tick(text)
    for scene in scenes(flow):
        assert not overlaps(scene)
        assert not beyond_paper(scene, paper.margin / POINT)


def test_a_long_table_repeats_its_head_and_loses_no_row() -> None:
    flow = Flow(PAPERS["letter"], "section", "Rows")
    flow.in_columns(2)
    flow.table([Column("no.", 1), Column("word", 2)], [[str(i), f"row-{i}"] for i in range(400)])
    found = [item.text for scene in scenes(flow) for item in scene.items if isinstance(item, Text)]
    assert [text for text in found if text.startswith("row-")] == [f"row-{i}" for i in range(400)]
    assert found.count("word") >= 2 * len(flow.pages) - 1
    assert len(flow.pages) > 2


def test_a_word_wider_than_its_column_is_written_smaller_not_broken() -> None:
    flow = Flow(PAPERS["letter"], "section", "Rows")
    flow.table([Column("a", 0.22), Column("b", 1)], [["K1.back-seam-batten-2", "x"]], size=10)
    found = [item for item in flow.pages[0].items if isinstance(item, Text) and item.text.startswith("K1")]
    assert [item.text for item in found] == ["K1.back-seam-batten-2"]
    assert LEAST <= found[0].size < 10


def test_words_are_whole_sentences_on_one_line() -> None:
    for key in ("saw", "sheet", "stick", "yard", "bench", "drill", "lift", "opening", "packet"):
        text = said("caution", key)
        assert text == printable(text)
        assert text.endswith(".")
    for method in methods().values():
        for texts in filter(None, (method.texts, method.texts_of_one)):
            assert len(texts.opening) >= 4, method.name
            assert texts.again, method.name
    assert lines("check", "no such crate") == ()
    with pytest.raises(KeyError):
        said("caution", "no such thing")
