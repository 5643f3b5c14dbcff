"""One request as pages see it: what it is asked of, the form or JSON that was sent, and short ways to answer."""

import json
from collections.abc import Awaitable, Callable, Mapping
from dataclasses import dataclass, field, replace
from http import HTTPStatus
from typing import Any, Final, Generic, Self, TypeAlias, TypeVar
from urllib.parse import urlencode

import anyio
from starlette.datastructures import FormData, UploadFile
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response

from nesting.base.writing import PLAIN
from pricing.desk.as_csv import as_csv
from pricing.desk.budget import PAGE, Budget, OverBudgetError
from pricing.desk.views import Views

D = TypeVar("D")
"""What a request is asked of: the desk, which knows nothing of requests."""
_SECONDS: Final = 30
"""How long a request may take to arrive."""
_MOST_FIELDS: Final = 2_000
_MOST_TEXT: Final = 4_000_000
"""Most bytes of one field of a form that is no file; each field says what it takes of them."""
MOST_NUMBER: Final = 10**15
"""Largest number of a job, a revision or an entry that is looked for; the store's own end is at 2^63."""


class BadRequestError(ValueError):
    """What was sent cannot be understood; the message is for people.

    Parameters
    ----------
    text : str
        The message.
    field : str
        The field of the form that it is about, by its name.
    faults : mapping of str to str, optional
        Several fields at once, each with what is wrong with it.
    """

    def __init__(self, text: str, field: str = "", faults: Mapping[str, str] | None = None) -> None:
        super().__init__(text)
        self.faults: Mapping[str, str] = faults or ({field: text} if field else {})


@dataclass(frozen=True)
class Call(Generic[D]):
    """A request that has arrived whole.

    Attributes
    ----------
    request : Request
        For its path and query.
    desk : D
        What it is asked of.
    views : Views
        What its pages are made with.
    form : mapping of str to str
        Fields of a form; of fields sent twice, the last.
    files : mapping of str to (str, bytes)
        Name and content of uploads.
    data : Any
        What was sent as JSON; None otherwise.
    """

    request: Request
    desk: D
    views: Views
    form: Mapping[str, str] = field(default_factory=dict)
    files: Mapping[str, tuple[str, bytes]] = field(default_factory=dict)
    data: Any = None

    @classmethod
    def of(cls, request: Request) -> Self:
        """Return the call of a request of which nothing but the address is read."""
        return cls(request, request.app.state.desk, request.app.state.views)

    def number(self, name: str) -> int:
        """Return a whole number from path or form; :class:`BadRequestError` where there is none."""
        text = self.request.path_params.get(name, self.form.get(name, self.request.query_params.get(name, "")))
        try:
            number = int(text)
        except ValueError:
            raise BadRequestError(f"{name} must be a whole number, not {str(text)[:40]!r}") from None
        if abs(number) > MOST_NUMBER:
            raise BadRequestError(f"{name} must be a whole number of at most {MOST_NUMBER}")
        return number

    def text(self, name: str, most: int = 400) -> str:
        """Return a field of the form, or of the query, without blanks at its ends."""
        text = self.form.get(name, self.request.query_params.get(name, "")).strip()
        if len(text) > most:
            raise BadRequestError(f"at most {most} characters", name)
        return text

    def typed(self, name: str, stands: str, most: int = 400) -> str:
        """Return a field of a typed form; what stands, where the form left it out since nobody touched it."""
        return self.text(name, most) if name in self.form else stands

    @property
    def wants_json(self) -> bool:
        """Whether the answer goes to a script."""
        return "application/json" in self.request.headers.get("accept", "")

    def page(self, template: str, status: int = 200, **values: Any) -> Response:
        """Answer with a page, or with a table of it where the address asks for one by ``csv``."""
        query = urlencode([each for each in self.request.query_params.multi_items() if each[0] != "csv"])
        name = self.request.query_params.get("csv", "")
        is_table = bool(name) and self.request.method == "GET" and status < HTTPStatus.BAD_REQUEST
        if is_table:  # for programs
            values["writing"] = PLAIN
        page = self.views.page(template, self.request.url.path, {"query": query, **values}, status)
        return as_csv(page, name) if is_table else page

    def go(self, path: str) -> Response:
        """Answer by leading to another page."""
        return RedirectResponse(path, 303)

    def json(self, value: Any, status: int = 200) -> Response:
        """Answer with JSON."""
        return JSONResponse(value, status)


Handler: TypeAlias = Callable[[Call[Any]], Response]


BUDGETS: Final[dict[Any, Budget]] = {}
"""What each endpoint may take."""


def endpoint(
    handler: Handler, seconds: float = _SECONDS, budget: Budget = PAGE
) -> Callable[[Request], Awaitable[Response]]:
    """Return an endpoint that takes in the whole request in so many seconds, then lets the handler work in a thread.

    Where that is over its budget, a sentence is the answer.
    """

    async def serve(request: Request) -> Response:
        form: dict[str, str] = {}
        files: dict[str, tuple[str, bytes]] = {}
        data: Any = None
        writes = request.method not in ("GET", "HEAD")
        if writes:
            try:
                with anyio.fail_after(seconds):
                    kind = request.headers.get("content-type", "")
                    if kind.startswith("application/json"):
                        data = _json(await request.body())
                    else:
                        sizes = {"max_files": 8, "max_fields": _MOST_FIELDS, "max_part_size": _MOST_TEXT}
                        async with request.form(**sizes) as sent:
                            form, files = await _form(sent)
            except TimeoutError:
                raise BadRequestError("the request took too long to arrive") from None
        request.state.form = form  # for the page that comes back where something of it will not do
        call: Call[Any] = replace(Call.of(request), form=form, files=files, data=data)
        return await worked(call, lambda: handler(call), BUDGETS[serve])

    BUDGETS[serve] = budget
    return serve


async def worked(call: Call[Any], work: Callable[[], Response], budget: Budget) -> Response:
    """Answer a request by what work in a thread comes to, within a budget, or else by a sentence."""
    request = call.request
    name = f"{request.method} {request.url.path}"
    try:
        return await request.app.state.places.work(budget, work, name)
    except OverBudgetError as over:
        text = over.told(writes=request.method not in ("GET", "HEAD"))
        answer = call.json({"message": text}, 503) if call.wants_json else None
        answer = answer or call.page("message.html", 503, title="It takes too long", text=text)
        answer.headers["retry-after"] = "10"
        return answer


def _json(body: bytes) -> Any:
    try:
        return json.loads(body)
    except (ValueError, RecursionError):
        raise BadRequestError("what was sent is not JSON") from None


async def _form(sent: FormData) -> tuple[dict[str, str], dict[str, tuple[str, bytes]]]:
    """Split a form into fields and uploads; the client's path of an upload is cut to its last name."""
    form: dict[str, str] = {}
    files: dict[str, tuple[str, bytes]] = {}
    for name, value in sent.multi_items():
        if isinstance(value, UploadFile):
            shown = (value.filename or "").replace("\\", "/").rpartition("/")[2]
            files[name] = (shown[:200], await value.read())
        else:
            form[name] = value
    return form, files
