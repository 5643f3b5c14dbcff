"""Text widths: held against the PDF library's own measure of the same font; fitting and breaking lines."""

from collections.abc import Iterator

import pytest
from fpdf import FPDF
from fpdf.fonts import TTFFont
from hypothesis import given
from hypothesis import strategies as st

from nesting.drawings.typeface import MISSING, Widths, printable, shortened, text_width, typeface_path, wrapped

texts = st.text(st.characters(codec="utf-8"), max_size=60).map(printable)


@pytest.fixture(scope="module")
def pdf() -> Iterator[FPDF]:
    book = FPDF(unit="pt")
    book.add_font("f", "", typeface_path())
    book.add_font("f", "B", typeface_path(bold=True))
    yield book
    for font in book.fonts.values():  # the library leaves the files open until it is thrown away
        if isinstance(font, TTFFont):
            font.ttfont.close()


@pytest.mark.parametrize("text", ["K1.back", "30 1/2 × 4 3/8", "2′ 6″ → ↑", "Ночь Čas Ωμέγα", "☐ ½ “x”"])
@pytest.mark.parametrize("bold", [False, True])
def test_widths_are_those_of_the_pdf_library(pdf: FPDF, text: str, bold: bool) -> None:
    pdf.set_font("f", "B" if bold else "", 10)
    assert text_width(text, 10.0, bold=bold) == pytest.approx(pdf.get_string_width(text), abs=0.05)


def test_the_licence_is_shipped_with_the_face() -> None:
    licence = typeface_path().parent / "LICENCE.txt"
    assert "Permission is hereby granted, free of charge" in licence.read_text()


@given(st.text(max_size=40))
def test_everything_printable_has_a_width(text: str) -> None:
    shown = printable(text)
    assert text_width(shown, 8.0) >= 0
    assert text_width(shown, 8.0, bold=True) >= 0
    assert shown == " ".join(shown.split())


def test_what_the_face_lacks_is_marked() -> None:
    assert printable("作 品") == f"{MISSING} {MISSING}"


@given(texts, st.floats(20, 300))
def test_wrapped_lines_fit_and_lose_nothing(text: str, room: float) -> None:
    lines = wrapped(text, 8.0, room)
    assert all(text_width(line, 8.0) <= room for line in lines)
    assert "".join("".join(lines).split()) == "".join(text.split())


def wrapped_plainly(text: str, size: float, room: float) -> list[str]:
    """Break text into lines one letter at a time: the definition, slow on long words."""
    lines, line = [], ""
    for whole in text.split():
        word = whole
        if text_width(longer := f"{line} {word}" if line else word, size) <= room:
            line = longer
            continue
        if line:
            lines.append(line)
        while text_width(word, size) > room and len(word) > 1:
            most = len(word) - 1
            while most > 1 and text_width(word[:most], size) > room:
                most -= 1
            lines.append(word[:most])
            word = word[most:]
        line = word
    return [*lines, line]


@given(texts | st.text("iW .", max_size=400), st.floats(1, 300))
def test_lines_break_where_the_definition_breaks_them(text: str, room: float) -> None:
    assert wrapped(text, 8.0, room) == wrapped_plainly(text, 8.0, room)


@given(texts, st.floats(1, 200))
def test_shortened_text_is_the_longest_that_fits(text: str, room: float) -> None:
    cuts = [text[:most].rstrip() + "…" for most in range(len(text) - 1, 0, -1)]
    fitting = (cut for cut in cuts if text_width(cut, 8.0) <= room)
    expected = text if text_width(text, 8.0) <= room else next(fitting, "…")
    assert shortened(text, 8.0, room) == expected


def test_a_very_long_word_is_measured_a_few_times_only(monkeypatch: pytest.MonkeyPatch) -> None:
    measured = 0
    width = Widths.width

    def counted(widths: Widths, text: str) -> float:
        nonlocal measured
        measured += len(text)
        return width(widths, text)

    monkeypatch.setattr(Widths, "width", counted)
    word = "long" * 2000
    assert "".join(wrapped(word, 8.0, 200.0)) == word
    assert shortened(word, 8.0, 200.0).startswith("longlong")
    assert measured < 40 * len(word)


@given(texts, st.floats(10, 200))
def test_shortened_text_fits(text: str, room: float) -> None:
    cut = shortened(text, 8.0, room)
    assert text_width(cut, 8.0) <= room or cut == "…"
    assert cut == text or cut.endswith("…")
