from itertools import count

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pricing.store import Conflict, Store
from pricing.store.documents import KEPT

_numbers = count()


def test_a_new_document_is_empty_at_revision_0(store: Store) -> None:
    document = store.documents.get("prices")
    assert (document.revision, document.content, document.can_undo) == (0, "", False)


def test_the_second_save_on_the_same_revision_is_refused_with_both(store: Store) -> None:
    store.documents.save("job:1", "one", based_on=0, what="first")
    store.documents.save("job:1", "theirs", based_on=1, what="widened")
    with pytest.raises(Conflict) as caught:
        store.documents.save("job:1", "mine", based_on=1, what="raised")
    assert caught.value.current.content == "theirs"
    assert caught.value.current.what == "widened"
    assert caught.value.base is not None
    assert caught.value.base.content == "one"
    assert store.documents.get("job:1").content == "theirs"


def test_saving_the_same_again_makes_no_revision(store: Store) -> None:
    store.documents.save("job:1", "one", based_on=0, what="first")
    assert store.documents.save("job:1", "one", based_on=1, what="again").revision == 1


def test_undo_and_redo_walk_through_all_states(store: Store) -> None:
    texts = ["one", "two", "three", "four"]
    for revision, text in enumerate(texts):
        store.documents.save("job:1", text, based_on=revision, what=f"to {text}")
    documents = store.documents
    seen = [documents.undo("job:1", based_on=documents.get("job:1").revision).content for _ in range(3)]
    assert seen == ["three", "two", "one"]
    assert not store.documents.get("job:1").can_undo
    seen = [documents.redo("job:1", based_on=documents.get("job:1").revision).content for _ in range(3)]
    assert seen == ["two", "three", "four"]
    assert not store.documents.get("job:1").can_redo
    assert len(store.documents.history("job:1")) == 10, "history only grows"


def test_a_new_change_after_an_undo_forgets_what_was_ahead(store: Store) -> None:
    for revision, text in enumerate(["one", "two"]):
        store.documents.save("job:1", text, based_on=revision, what=text)
    store.documents.undo("job:1", based_on=2)
    document = store.documents.save("job:1", "other", based_on=3, what="other")
    assert not document.can_redo
    assert store.documents.undo("job:1", based_on=4).content == "one"


def test_undo_leads_back_to_what_is_built_in(store: Store) -> None:
    store.documents.save("prices", "own", based_on=0, what="first", over_built_in=True)
    assert store.documents.get("prices").can_undo
    back = store.documents.undo("prices", based_on=1)
    assert (back.content, back.can_undo, back.can_redo) == ("", False, True)
    assert store.documents.redo("prices", based_on=2).content == "own"
    assert store.documents.undo("prices", based_on=3).content == ""


def test_nothing_to_undo_is_said(store: Store) -> None:
    store.documents.save("job:1", "one", based_on=0, what="first")
    with pytest.raises(LookupError, match="left to undo"):
        store.documents.undo("job:1", based_on=1)


def test_only_so_many_revisions_are_kept(store: Store) -> None:
    for revision in range(KEPT + 5):
        store.documents.save("job:1", str(revision), based_on=revision, what="more")
    assert store.documents.at("job:1", 5) is None
    assert store.documents.at("job:1", 6) is not None
    assert len(store.documents.history("job:1", 1000)) == KEPT


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.sampled_from(["save", "undo", "redo"]), max_size=25), st.integers(0, 10**6))
def test_undo_behaves_as_a_stack(store: Store, moves: list[str], number: int) -> None:
    """Against a plain model: a list of states with a cursor, cut off behind the cursor by a save."""
    name = f"model {number} {next(_numbers)}"
    states, cursor = [f"{name} 0"], 0
    store.documents.save(name, states[0], based_on=0, what="start")
    for step, move in enumerate(moves, start=1):
        revision = store.documents.get(name).revision
        if move == "save":
            states = [*states[: cursor + 1], f"{name} {step}"]
            cursor += 1
            store.documents.save(name, states[-1], based_on=revision, what="save")
        elif move == "undo" and cursor > 0:
            cursor -= 1
            store.documents.undo(name, based_on=revision)
        elif move == "redo" and cursor < len(states) - 1:
            cursor += 1
            store.documents.redo(name, based_on=revision)
        document = store.documents.get(name)
        assert document.content == states[cursor]
        assert document.can_undo == (cursor > 0)
        assert document.can_redo == (cursor < len(states) - 1)
