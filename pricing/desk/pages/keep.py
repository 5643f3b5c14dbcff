"""Keep: everything as plain files to put away, and back again; backups, and whether the store is whole."""

import os
from pathlib import Path
from tempfile import mkstemp
from typing import Final

import anyio
from starlette.background import BackgroundTask
from starlette.datastructures import FormData, UploadFile
from starlette.requests import Request
from starlette.responses import FileResponse, Response
from starlette.routing import Route

from pricing.desk.budget import ARCHIVE
from pricing.desk.call import BadRequestError, Call, endpoint, worked
from pricing.desk.desk import Desk
from pricing.desk.soundness import unsound
from pricing.desk.views import moment
from pricing.store.backups import RULE, backups_in
from pricing.store.export import export
from pricing.store.folder import passing
from pricing.store.restoring import bring_back, restore

_SECONDS: Final = 600
"""How long an archive may take to arrive."""
_FORMER: Final = "former"


def shown(call: Call[Desk]) -> Response:
    """Say where everything is, whether it is whole and backed up, and offer it."""
    store = call.desk.store
    checked = store.keeper.checked
    remarks = list(store.remarks)
    if call.text("read") == _FORMER:
        remarks.append(
            "The archive was of an earlier version and had no manifest: its files could not be held against their "
            "digests. All tables were there, and hold together."
        )
    return call.page(
        "keep.html",
        here="keep",
        folder=store.folder,
        jobs=store.jobs.count(),
        backups=[(each.name, moment(each.at), each.told) for each in backups_in(store.database.backups)],
        place=store.database.backups,
        rule=RULE,
        checked=moment(checked) if checked else "",
        trouble=store.keeper.trouble,
        remarks=remarks,
    )


def send(call: Call[Desk]) -> Response:
    """Send everything as plain files in one archive, which is written beside the store and read from there."""
    database = call.desk.store.database
    name = f"casewright-desk-{call.desk.today().isoformat()}.zip"
    handle, made = mkstemp(prefix="archive-", suffix=".zip", dir=passing(call.desk.store.folder))
    path = Path(made)
    try:
        with os.fdopen(handle, "w+b") as out:
            export(database, out)
    except BaseException:
        path.unlink()
        raise
    return FileResponse(path, filename=name, media_type="application/zip", background=BackgroundTask(path.unlink))


async def take(request: Request) -> Response:
    """Put the content of an archive in place of everything, after a backup; it is read from where it was spooled."""
    call: Call[Desk] = Call.of(request)
    with anyio.move_on_after(_SECONDS) as waiting:
        sent = await request.form(max_files=1, max_fields=4)
    if waiting.cancelled_caught:
        raise BadRequestError("the archive took too long to arrive")
    return await worked(call, lambda: _taken(call, sent), ARCHIVE)


def _taken(call: Call[Desk], sent: FormData) -> Response:
    """Put an archive back, and let go of what was spooled when that is over, however long it took."""
    archive = sent.get("file")
    try:
        return _put_back(call, archive, sent.get("sure"))
    finally:
        if isinstance(archive, UploadFile):
            archive.file.close()


def _put_back(call: Call[Desk], archive: object, sure: object) -> Response:
    if not isinstance(archive, UploadFile) or not archive.size:
        raise BadRequestError("choose an archive that this page made")
    if sure != "yes":
        raise BadRequestError("tick that what is on the desk now is to be replaced")
    remarks = restore(call.desk.store.database, archive.file, unsound)
    call.desk.forget()
    return call.go(f"/keep?read={_FORMER}" if remarks else "/")


def again(call: Call[Desk]) -> Response:
    """Put a backup in place of everything, which becomes another backup."""
    if call.text("sure") != "yes":
        raise BadRequestError("tick that what is on the desk now is to be replaced")
    bring_back(call.desk.store.database, call.text("backup"))
    call.desk.forget()
    return call.go("/")


ROUTES = (
    Route("/keep/backup", endpoint(again, budget=ARCHIVE), methods=["POST"]),
    Route("/keep", endpoint(shown)),
    Route("/keep/everything.zip", endpoint(send, budget=ARCHIVE)),
    Route("/keep", take, methods=["POST"]),
)
