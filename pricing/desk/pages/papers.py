"""Keep: everything as plain files to put away, and back again."""

from starlette.responses import Response
from starlette.routing import Route

from pricing.desk.call import BadRequestError, Call, endpoint
from pricing.store.export import export, restore


def shown(call: Call) -> Response:
    """Say where everything is and offer it."""
    store = call.desk.store
    backups = (
        sorted(path.name for path in store.database.backups.glob("*.sqlite")) if store.database.backups.exists() else []
    )
    return call.page("keep.html", here="papers", folder=store.folder, backups=backups, jobs=store.jobs.count())


def send(call: Call) -> Response:
    """Send everything as plain files in one archive."""
    name = f"casewright-desk-{call.desk.today().isoformat()}.zip"
    headers = {"content-disposition": f'attachment; filename="{name}"'}
    return Response(export(call.desk.store.database), media_type="application/zip", headers=headers)


def take(call: Call) -> Response:
    """Put the content of an archive in place of everything, after a backup."""
    _, data = call.files.get("file", ("", b""))
    if not data:
        raise BadRequestError("choose an archive that this page made")
    if call.text("sure") != "yes":
        raise BadRequestError("tick that what is on the desk now is to be replaced")
    restore(call.desk.store.database, data)
    call.desk.forget()
    return call.go("/")


ROUTES = (
    Route("/keep", endpoint(shown)),
    Route("/keep/everything.zip", endpoint(send)),
    Route("/keep", endpoint(take), methods=["POST"]),
)
