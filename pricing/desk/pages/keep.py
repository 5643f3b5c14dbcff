"""Keep: everything as plain files to put away, and back again."""

from datetime import UTC, datetime

from starlette.responses import Response
from starlette.routing import Route

from pricing.desk.call import BadRequestError, Call, endpoint
from pricing.desk.desk import Desk
from pricing.store.export import backups, bring_back, export, restore


def shown(call: Call[Desk]) -> Response:
    """Say where everything is and offer it."""
    store = call.desk.store
    kept = [(path.name, _moment(path.stat().st_mtime)) for path in backups(store.database)]
    return call.page("keep.html", here="papers", folder=store.folder, backups=kept, jobs=store.jobs.count())


def _moment(at: float) -> str:
    return datetime.fromtimestamp(at, UTC).strftime("%Y-%m-%d %H:%M")


def send(call: Call[Desk]) -> Response:
    """Send everything as plain files in one archive."""
    name = f"casewright-desk-{call.desk.today().isoformat()}.zip"
    headers = {"content-disposition": f'attachment; filename="{name}"'}
    return Response(export(call.desk.store.database), media_type="application/zip", headers=headers)


def take(call: Call[Desk]) -> Response:
    """Put the content of an archive in place of everything, after a backup."""
    _, data = call.files.get("file", ("", b""))
    if not data:
        raise BadRequestError("choose an archive that this page made")
    if call.text("sure") != "yes":
        raise BadRequestError("tick that what is on the desk now is to be replaced")
    restore(call.desk.store.database, data)
    call.desk.forget()
    return call.go("/")


def again(call: Call[Desk]) -> Response:
    """Put a backup in place of everything, after another backup."""
    if call.text("sure") != "yes":
        raise BadRequestError("tick that what is on the desk now is to be replaced")
    bring_back(call.desk.store.database, call.text("backup"))
    call.desk.forget()
    return call.go("/")


ROUTES = (
    Route("/keep/backup", endpoint(again), methods=["POST"]),
    Route("/keep", endpoint(shown)),
    Route("/keep/everything.zip", endpoint(send)),
    Route("/keep", endpoint(take, seconds=600), methods=["POST"]),
)
