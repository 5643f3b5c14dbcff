"""The page that comes back where something of a form will not do: with all that was typed, and the fault at its field.

A form that a browser posts by itself (no script runs, or it is a deed such as sending) must not lose what was typed.
So the page that it stood on is made again, and what was sent is written into the form that sent it. That is done on the
finished page, in one place, so that no template and no handler can forget it.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from html import escape
from html.parser import HTMLParser
from typing import Final, TypeAlias
from urllib.parse import unquote, urlsplit

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.types import Message

from nesting.base.faults import FaultsFound

ON: Final = "came_from"
"""The hidden field by which a page that came back says at which address it stands."""
_AS_SENT: Final = frozenset({"hidden", "submit", "button", "file", "password", "image", "reset"})
_VOID: Final = frozenset({"revision", ON})

Edit: TypeAlias = tuple[int, int, str]
"""From where to where in a page, and what stands there then."""


@dataclass(frozen=True, slots=True)
class Sent:
    """A form that was sent and refused.

    Attributes
    ----------
    action : str
        Where it was sent to.
    form : mapping of str to str
        What it said.
    faults : mapping of str to str
        What is wrong, by field.
    message : str
        What is wrong with no field of it.
    """

    action: str
    form: Mapping[str, str]
    faults: Mapping[str, str]
    message: str


def faults_at(error: Exception, form: Mapping[str, str]) -> tuple[dict[str, str], str]:
    """Return what is wrong by the fields of a form, and what is wrong with none of them.

    A message that begins with the name of a field and a colon is about that field.
    """
    told: dict[str, str] = dict(getattr(error, "faults", {}) or {}) if not isinstance(error, FaultsFound) else {}
    if told:
        named = {name: text for name, text in told.items() if name in form}
        return named, "\n".join(text for name, text in told.items() if name not in form)
    left = []
    for line in _lines(error):
        name, colon, text = line.partition(": ")
        if colon and name in form and name not in told:
            told[name] = text
        else:
            left.append(line)
    return told, "\n".join(left)


def _lines(error: Exception) -> list[str]:
    """Return what an error says, fault by fault; one of a table begins with its column, and names no file."""
    if not isinstance(error, FaultsFound):
        return str(error).splitlines()
    return [
        f"{each.column}: write {each.accepted}" if each.column else replace(each, file="", row=None).message
        for each in error.faults
    ]


async def page_before(request: Request, form: Mapping[str, str]) -> tuple[str, str] | None:
    """Return address and text of the page that a form was sent from, made again; None where there is none."""
    address = form.get(ON) or _referred(request)
    path, _, query = address.partition("?")
    if not path.startswith("/") or path.startswith("//"):
        return None
    scope = {
        **request.scope, "method": "GET", "path": unquote(path), "raw_path": path.encode(),
        "query_string": query.encode(),
        "headers": [(name, value) for name, value in request.scope["headers"] if not name.startswith(b"content-")],
        "path_params": {},
    }  # fmt: skip
    scope.pop("endpoint", None)
    status, parts = 0, []

    async def receive() -> Message:
        return {"type": "http.request", "body": b"", "more_body": False}

    async def send(message: Message) -> None:
        nonlocal status
        if message["type"] == "http.response.start":
            status = message["status"]
            kinds = dict(message["headers"]).get(b"content-type", b"")
            status = status if kinds.startswith(b"text/html") else 0
        parts.append(message.get("body", b""))

    try:
        await request.app.router(scope, receive, send)
    except (HTTPException, ValueError, LookupError):
        return None
    return (address, b"".join(parts).decode()) if status == 200 else None


def _referred(request: Request) -> str:
    came = urlsplit(request.headers.get("referer", ""))
    if came.netloc != request.headers.get("host", ""):
        return ""
    return came.path + (f"?{came.query}" if came.query else "")


@dataclass(slots=True)
class Form:
    """A form of a page: where it begins, what it says that nobody types, and what may be typed into."""

    at: int
    attributes: Mapping[str, str | None]
    details: tuple[int, ...] = ()
    hidden: dict[str, str] = field(default_factory=dict)
    controls: list["Control"] = field(default_factory=list)


@dataclass(slots=True)
class Control:
    """A field: its start tag, where its end tag begins, and what comes after it and the label round it."""

    tag: str
    attributes: Mapping[str, str | None]
    start: int
    end: int
    closes: int = 0
    after: int = 0
    details: tuple[int, ...] = ()
    options: list[tuple[int, int, Mapping[str, str | None], str]] = field(default_factory=list)


class _Reader(HTMLParser):
    """Finds the forms of a page and their fields, each by its place in the text."""

    def __init__(self, page: str) -> None:
        super().__init__(convert_charrefs=True)
        self._page = page
        self._lines = [0, *(match.end() for match in re.finditer("\n", page))]
        self.forms: list[Form] = []
        self.loose: list[tuple[str, Control]] = []
        self._form: Form | None = None
        self._details: list[int] = []
        self._labelled: list[Control] = []
        self._in_label = False
        self._open: Control | None = None
        self.feed(page)
        self.close()

    def _at(self) -> int:
        line, column = self.getpos()
        return self._lines[line - 1] + column

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        start = self._at()
        end = start + len(self.get_starttag_text() or "")
        attributes = dict(attrs)
        if tag == "form":
            self._form = Form(end, attributes, self._shut())
            self.forms.append(self._form)
        elif tag == "details":
            self._details.append(-1 if "open" in attributes else start)
        elif tag == "label":
            self._in_label, self._labelled = True, []
        elif tag == "option" and self._open is not None:
            self._open.options.append((start, end, attributes, ""))
        elif tag in ("input", "select", "textarea"):
            self._control(Control(tag, attributes, start, end, end, end, self._shut()))

    def _shut(self) -> tuple[int, ...]:
        """Return where the details begin that must be open for what stands here to be seen."""
        return tuple(at for at in self._details if at >= 0)

    def _control(self, control: Control) -> None:
        owner = control.attributes.get("form")
        if owner:
            self.loose.append((owner, control))
        elif self._form is not None:
            if control.attributes.get("type") == "hidden":
                self._form.hidden[control.attributes.get("name") or ""] = control.attributes.get("value") or ""
            else:
                self._form.controls.append(control)
        if control.tag != "input":
            self._open = control
        if self._in_label:
            self._labelled.append(control)

    def handle_data(self, data: str) -> None:
        if self._open is not None and self._open.options:
            start, end, attributes, text = self._open.options[-1]
            self._open.options[-1] = (start, end, attributes, text + data)

    def handle_endtag(self, tag: str) -> None:
        at = self._at()
        after = at + len(tag) + 3
        if tag == "form":
            self._form = None
        elif tag == "details" and self._details:
            self._details.pop()
        elif tag in ("select", "textarea") and self._open is not None:
            self._open.closes, self._open.after = at, after
            self._open = None
        elif tag == "label":
            for each in self._labelled:
                each.after = after
            self._in_label, self._labelled = False, []


def read_forms(page: str) -> list[Form]:
    """Return the forms of a page, each with all its fields, wherever they stand."""
    reader = _Reader(page)
    for form in reader.forms:
        name = form.attributes.get("id")
        form.controls += [each for owner, each in reader.loose if name and owner == name]
    return reader.forms


def typed_back(made: tuple[str, str], sent: Sent) -> str:
    """Return a page with what was typed in the form that sent it, and what is wrong beside its fields."""
    address, page = made
    forms = read_forms(page)
    form = _found(forms, sent)
    edits: list[Edit] = []
    if form is None:
        message = "\n".join(filter(None, (*sent.faults.values(), sent.message)))
        edits.append(_at_top(page, message, sent.form))
    else:
        controls = form.controls
        told = _shown(controls, sent, edits)
        left = "\n".join([*(text for name, text in sent.faults.items() if name not in told), sent.message]).strip()
        if left:
            edits.append((form.at, form.at, f'<p class="fault" role="alert">{escape(left)}</p>'))
        shut = {*form.details, *(at for each in controls for at in each.details)}
        edits += [(at + len("<details"), at + len("<details"), " open") for at in shut]
    here = f'<input type="hidden" name="{ON}" value="{escape(address)}">'
    edits += [(each.at, each.at, here) for each in forms if each.attributes.get("method") == "post"]
    edits.append(_marked(page))
    text = page
    for start, end, new in sorted(edits, key=lambda edit: edit[:2], reverse=True):
        text = text[:start] + new + text[end:]
    path = address.partition("?")[0]
    text = re.sub(r"(<body\b)", rf'\1 data-page="{escape(address)}"', text, count=1)
    return re.sub(r'(\shref=")\?', rf"\g<1>{escape(path)}?", text)


def _found(forms: list[Form], sent: Sent) -> Form | None:
    """Return the form that was sent: of those that go there, the one whose hidden fields say most of what was sent."""
    fits = [each for each in forms if (each.attributes.get("action") or "").partition("#")[0] == sent.action]

    def likeness(form: Form) -> int:
        return sum(
            1 if sent.form.get(name) == value else -1 for name, value in form.hidden.items() if name not in _VOID
        )

    return max(fits, key=likeness, default=None)


def _shown(controls: list[Control], sent: Sent, edits: list[Edit]) -> set[str]:
    """Write what was sent into fields, with what is wrong with them; return the names of those that are told so."""
    told: set[str] = set()
    for number, control in enumerate(controls):
        name = control.attributes.get("name") or ""
        attributes = _filled(control, sent.form.get(name), edits) if name else dict(control.attributes)
        if name in sent.faults and name not in told:
            mark = f"fault-{number}"
            attributes |= {"aria-invalid": "true", "aria-describedby": mark, **({} if told else {"autofocus": None})}
            why = f'<span class="fault" id="{mark}">{escape(sent.faults[name])}</span>'
            edits.append((control.after, control.after, why))
            told.add(name)
        if attributes != control.attributes:
            edits.append((control.start, control.end, _tag(control.tag, attributes)))
    return told


def _filled(control: Control, text: str | None, edits: list[Edit]) -> dict[str, str | None]:
    """Put what was sent into one field; return its attributes then."""
    attributes = dict(control.attributes)
    kind = (attributes.get("type") or "text") if control.tag == "input" else control.tag
    if kind in ("checkbox", "radio"):
        return _with(attributes, "checked", is_on=text is not None and text == (attributes.get("value") or "on"))
    if text is None or kind in _AS_SENT:
        return attributes
    if kind == "select":
        for start, end, own, shown in control.options:
            value = own.get("value")
            then = _with(own, "selected", is_on=(value if value is not None else shown.strip()) == text)
            if then != own:
                edits.append((start, end, _tag("option", then)))
    elif kind == "textarea":
        edits.append((control.end, control.closes, f"\n{escape(text)}"))
    else:
        attributes["value"] = text
    return attributes


def _with(attributes: Mapping[str, str | None], name: str, *, is_on: bool) -> dict[str, str | None]:
    """Return attributes with one that says yes or is not there."""
    others = {key: value for key, value in attributes.items() if key != name}
    return {**others, name: None} if is_on else others


def _tag(tag: str, attributes: Mapping[str, str | None]) -> str:
    """Write a start tag."""
    told = (f" {name}" if value is None else f' {name}="{escape(value)}"' for name, value in attributes.items())
    return f"<{tag}{''.join(told)}>"


def _at_top(page: str, message: str, form: Mapping[str, str]) -> Edit:
    """Tell it at the top of the page, with all that was typed, where the form is not on it any more."""
    at = page.index(">", page.index("<main")) + 1
    typed = "".join(
        f"<li>{escape(name)}: {escape(text)}</li>" for name, text in form.items() if text and name not in _VOID
    )
    kept = f"<p>What was typed:</p><ul>{typed}</ul>" if typed else ""
    return at, at, f'<section class="fault" role="alert"><p>{escape(message)}</p>{kept}</section>'


def _marked(page: str) -> Edit:
    """Let the mark in the page's head say that it was not saved."""
    found = re.search(r'(<[a-z]+ [^>]*\bid="saved"[^>]*)>([^<]*)', page)
    return (found.end(1), found.end(), ' data-state="failed">Not saved: see what is marked') if found else (0, 0, "")
