"""Requests made from the desk's own table of routes and its pages' own forms: each is answered, none with a traceback.

Hypothesis makes them (it shrinks what fails to the least that does): a generator that reads OpenAPI would need a
description that the desk does not have and somebody would have to keep true; routes and forms are what they are.
"""

import re
from collections import Counter
from collections.abc import Iterator
from html.parser import HTMLParser
from typing import Any, Final

import httpx
import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from starlette.routing import Route

from pricing.desk.content import Content
from pricing.desk.desk import Desk
from pricing.desk.pages import ROUTES
from pricing.store import Store
from tests.fuzz.changing import ODD
from tests.pricing.desk.conftest import served
from tests.pricing.desk.orders import DAY
from tests.pricing.desk.test_guard import own

LEFT_OUT: Final = {
    "/jobs/{job:int}/live": "a stream without end",
    "/jobs/{job:int}/search": "starts processes",
    "/jobs/{job:int}/settle": "starts processes",
    "/jobs/{job:int}/ways": "works whole orders through, by the minute",
    "/keep": "puts another store in the place of the one under test",
    "/keep/backup": "the same",
}
ADDRESSES: Final = tuple(
    (method, route.path)
    for route in ROUTES
    if isinstance(route, Route) and route.path not in LEFT_OUT
    for method in sorted((route.methods or set()) - {"HEAD"})
)
HEADERS: Final = ("content-security-policy", "x-content-type-options", "referrer-policy")
_WORDS: Final = (*(str(each) for each in ODD if isinstance(each, str) and "\ud800" not in each), "1", "2", "A-01", "K1")
_FIELD: Final = re.compile(r"\{(\w+)(?::\w+)?\}")


class _Forms(HTMLParser):
    """Collects what a page's forms would send: by path, fields with their values."""

    def __init__(self) -> None:
        super().__init__()
        self.found: dict[str, dict[str, str]] = {}
        self._fields: dict[str, str] | None = None

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Open a form, or note a field or a button of it."""
        facts = {name: value or "" for name, value in attrs}
        if tag == "form":
            self._fields = self.found.setdefault(re.sub(r"/\d+", "/1", facts.get("action", "")), {})
        elif self._fields is not None and (name := facts.get("name")):
            self._fields[name] = facts.get("value", "")

    def handle_endtag(self, tag: str) -> None:
        """Close a form."""
        if tag == "form":
            self._fields = None


@pytest.fixture(scope="module")
def visitor(tmp_path_factory: pytest.TempPathFactory) -> Iterator[httpx.Client]:
    """Return a client that the desk takes for its own page, with a job of one small piece."""
    desk = Desk(Store(tmp_path_factory.mktemp("http")), today=lambda: DAY, patience=1e6, effort="quick")
    job = desk.store.jobs.add("Fuzzed")
    content = Content(headings=("piece", "width", "height", "depth"), rows=(("A-01", "10", "12", "1"),))
    desk.store.documents.save(f"job:{job}", content.text(), based_on=0, what="begun")
    with served(desk) as client:
        client.headers["origin"] = own(client)
        yield client
    desk.close()


@pytest.fixture(scope="module")
def forms(visitor: httpx.Client) -> dict[str, dict[str, str]]:
    """Return the fields of every form of every page that needs no name."""
    found = _Forms()
    for method, path in ADDRESSES:
        if method == "GET" and not _FIELD.search(path.replace("{job:int}", "1")):
            answer = visitor.get(path.replace("{job:int}", "1"))
            if answer.headers.get("content-type", "").startswith("text/html"):
                found.feed(answer.text)
    return found.found


@st.composite
def requests(draw: st.DrawFn, forms: dict[str, dict[str, str]]) -> tuple[str, str, dict[str, Any]]:
    """Draw a request: an address with its gaps filled, and a form's own fields, some changed, dropped, added."""
    method, pattern = draw(st.sampled_from(ADDRESSES))
    words = st.sampled_from(_WORDS) | st.text(max_size=12).filter(_sendable)

    def filled(gap: re.Match[str]) -> str:
        if gap[1] == "job":
            return draw(st.sampled_from(("1", "1", "1", "1", "2", "99999999999999999999")))
        return draw(st.sampled_from(("1", "2", "A-01", "K1", "0", "99999999999999999999", "..", "%2e%2e", "x.pdf")))

    path = _FIELD.sub(filled, pattern)
    usual = forms.get(re.sub(r"/\d+", "/1", path), {})
    names = st.sampled_from(sorted({*usual, "based_on", "piece", "key", "value", "number"}))
    changed = {**usual, **draw(st.dictionaries(names, words, max_size=4))}
    for name in draw(st.lists(names, max_size=2)):
        changed.pop(name, None)
    if method == "GET":
        return method, path, {"params": changed}
    kind = draw(st.sampled_from(("data", "data", "data", "files", "json", "content")))
    if kind == "files":
        file = ("x.csv", draw(st.sampled_from((b"", b"piece,width\nA,1\n", b"\xff\xfe\0", b"PK\x03\x04"))))
        return method, path, {"data": changed, "files": dict.fromkeys(("file", "table", "photo"), file)}
    if kind == "json":
        return method, path, {"json": draw(st.sampled_from((changed, [changed], None, 1, [], {"rows": [[1]]})))}
    if kind == "content":
        return method, path, {"content": draw(st.binary(max_size=40)), "headers": draw(st.sampled_from(_TYPES))}
    return method, path, {"data": changed}


_TYPES: Final[tuple[dict[str, str], ...]] = (
    {"content-type": "application/json"},
    {"content-type": "multipart/form-data; boundary=x"},
    {"content-type": "multipart/form-data"},
    {"content-type": "application/x-www-form-urlencoded; charset=none"},
    {},
)


def _sendable(text: str) -> bool:
    return not any("\ud800" <= character <= "\udfff" for character in text)


def test_every_request_is_answered(visitor: httpx.Client, forms: dict[str, dict[str, str]], cases: int) -> None:
    answered: list[int] = []

    @settings(
        max_examples=cases, deadline=None, derandomize=True, database=None, phases=(Phase.generate,),
        suppress_health_check=list(HealthCheck),
    )  # fmt: skip
    @given(asked=requests(forms))
    def each(asked: tuple[str, str, dict[str, Any]]) -> None:
        method, path, sent = asked
        answer = visitor.request(method, path, **sent)
        answered.append(answer.status_code)
        assert answer.status_code < 500, (asked, answer.text[:400])
        assert all(name in answer.headers for name in HEADERS), asked
        assert "Traceback" not in answer.text

    each()
    print(sorted(Counter(answered).items()))
    assert len(answered) >= cases
    assert sum(status < 400 for status in answered) > cases // 20, "some are understood, or nothing deep was tried"


@pytest.fixture
def cases() -> int:
    """Return how many requests are made; ``HTTP_CASES`` in the environment makes it more, for the benchmark."""
    import os

    return int(os.environ.get("HTTP_CASES", "150"))


def test_the_forms_of_the_pages_are_found(forms: dict[str, dict[str, str]]) -> None:
    assert len(forms) > 15
    assert "name" in forms["/jobs"]
    assert set(LEFT_OUT) <= {route.path for route in ROUTES if isinstance(route, Route)}
