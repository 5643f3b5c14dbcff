"""Learned: what jobs that are done say of the rates, each taken over by hand or left."""

from dataclasses import replace

from starlette.responses import Response
from starlette.routing import Route

from nesting.base.counts import plural
from nesting.base.faults import FaultsFound
from pricing.desk.call import BadRequestError, Call, endpoint
from pricing.desk.desk import Desk
from pricing.desk.learning import learned
from pricing.desk.pages.paper import save_paper, step_paper
from pricing.desk.steps import marked
from pricing.desk.studio import RULES, ruled, rulings_from
from pricing.quoting.learned import LEAST_JOBS, ruling


def shown(call: Call[Desk]) -> Response:
    """Show what is learnt of each rate, with the jobs behind it."""
    papers = call.desk.papers
    document = papers.document(RULES)
    rates = ruled(document.content, papers.form)[1]
    found = learned(call.desk.store, rates)
    rulings = {each.key: ruling(each, rates.labour) for each in (*found.rooms, *found.operations, *found.wastes)}
    return call.page(
        "learned.html", here="learned", document=document, found=found, rulings=rulings, least_jobs=LEAST_JOBS,
        price=rates.price,
    )  # fmt: skip


def take(call: Call[Desk]) -> Response:
    """Take one suggestion over into the rates, as one change that undo takes back."""
    papers, key = call.desk.papers, call.text("key", 80)
    document = papers.document(RULES)
    rates = ruled(document.content, papers.form)[1]
    lesson = learned(call.desk.store, rates).lesson(key)
    if str(lesson.suggested) != call.text("value", 40):
        now = "too little" if lesson.suggested is None else str(lesson.suggested)
        raise BadRequestError(f"{lesson.title}: the jobs say {now} by now; open the page again and look first")
    changes = {name: f"{value:f}" for name, value in ruling(lesson, rates.labour).items()}
    rulings = rulings_from(document.content)
    made = replace(rulings, rules={**rulings.rules, **changes})
    try:
        ruled(made.text(), papers.form)
    except FaultsFound as error:
        fault = error.faults[0]
        raise BadRequestError(f"{lesson.title}: {fault.found} will not do; accepted: {fault.accepted}") from None
    what = f"{lesson.title}: {lesson.present} to {lesson.suggested}, from {plural(len(lesson.jobs), 'job')}"
    return save_paper(call, RULES, made.text(), marked("learned", what), "/learned")


def step(call: Call[Desk]) -> Response:
    """Undo or redo the latest change of the rules."""
    return step_paper(call, RULES, "/learned")


ROUTES = (
    Route("/learned", endpoint(shown)),
    Route("/learned", endpoint(take), methods=["POST"]),
    Route("/learned/step", endpoint(step), methods=["POST"]),
)
