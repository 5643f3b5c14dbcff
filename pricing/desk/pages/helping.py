"""Help: one page with everything, that prints and needs no script; and the sample job."""

from starlette.responses import Response
from starlette.routing import Route

from nesting.intake import COLUMNS
from pricing.desk.call import Call, endpoint
from pricing.desk.desk import Desk
from pricing.desk.help import HELP, STEPS
from pricing.desk.sample import CLIENT, NAME, sample, with_buyer, with_place
from pricing.desk.steps import marked
from pricing.desk.studio import PARTIES, PLACES
from pricing.studio.destinations import destinations_csv
from pricing.studio.parties import parties_csv


def shown(call: Call[Desk]) -> Response:
    """Show all help."""
    return call.page(
        "help.html", here="help", told=HELP, steps=STEPS, columns=COLUMNS, sizes=call.desk.papers.shop.units
    )


def begin(call: Call[Desk]) -> Response:
    """Begin the sample job, with the invented place and buyer that it names."""
    desk, papers = call.desk, call.desk.papers
    office = papers.office()
    what = "an invented one, for the sample job"
    for name, table in (
        (PLACES, (made := with_place(papers.places, office)) and destinations_csv(made, papers.units)),
        (PARTIES, (book := with_buyer(papers.parties, office)) and parties_csv(book)),
    ):
        if table:
            page = "rules" if name == PLACES else "parties"
            papers.save(name, table, based_on=papers.document(name).revision, what=marked(page, what))
    job = desk.begin(NAME, CLIENT, sample(office, desk.today()), "begun as a sample")
    return call.go(f"/jobs/{job}/artworks")


ROUTES = (
    Route("/help", endpoint(shown)),
    Route("/sample", endpoint(begin), methods=["POST"]),
)
