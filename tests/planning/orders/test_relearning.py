"""Orders at remake rates learned anew."""

from __future__ import annotations

from service.domain.order import Item, ReworkGroup
from service.domain.records import Tally
from service.domain.rework import Given, Learned
from service.planning.orders.needs import needs_of
from service.planning.orders.relearning import relearned
from service.planning.spares import remakes_within
from tests.order_drafts import ask, sleeves, source

NOW = (Tally("flat", 600, 50, 30),)
RS12 = Item("sleeve", "rs-12")
FLAT = Given("flat", 0.05)


def test_the_rates_of_plans_are_what_was_known_before() -> None:
    """Two plans at 5 % given: 48 splices at 5 % as from 20 joints, and 30 sleeves lost in 600."""
    plan = ask(RS12, 27), sleeves("rs-12", [(24, FLAT)], 3)  # type: ignore[list-item]
    sources = relearned([source(*plan), source(*plan)], NOW)
    spares = needs_of(sources, 0.95)[0].spares
    expected = Learned("flat", 0.05, 20, 600, 30)
    assert spares is not None
    assert spares.groups == (ReworkGroup(48, expected),)
    assert (spares.separate, spares.pooled) == (6, remakes_within([(48, expected)], 0.95))


def test_a_learned_rate_is_learned_anew_from_its_own_prior() -> None:
    """What a plan knew then gives way to what is known now, and is not counted twice."""
    then = Learned("flat", 0.08, 40, 100, 12)
    ((_, summed),) = relearned([source(sleeves("rs-12", [(24, then)]))], NOW)  # type: ignore[list-item]
    assert summed.sleeves["rs-12"].groups == {Learned("flat", 0.08, 40, 600, 30): 24}


def test_a_form_without_records_is_at_its_prior_alone() -> None:
    """Single fibres, of which nothing is recorded."""
    ((_, summed),) = relearned([source(sleeves("s", [(24, Given("single", 0.02))]))], NOW)  # type: ignore[list-item]
    assert summed.sleeves["s"].groups == {Learned("single", 0.02, 20, 0, 0): 24}


def test_a_rate_without_its_form_stays() -> None:
    """A plan of an earlier version does not tell whose the rate is."""
    ((_, summed),) = relearned([source(sleeves("rs-12", [(24, 0.05)]))], NOW)
    assert summed.sleeves["rs-12"].groups == {0.05: 24}


def test_what_comes_to_the_same_rate_is_one_group() -> None:
    """A plan at a given 5 % and one that had learned from fewer records know the same now."""
    groups = [(24, FLAT), (12, Learned("flat", 0.05, 20, 100, 12))]
    ((_, summed),) = relearned([source(sleeves("rs-12", groups))], NOW)  # type: ignore[arg-type]
    assert summed.sleeves["rs-12"].groups == {Learned("flat", 0.05, 20, 600, 30): 36}


def test_sources_are_not_changed() -> None:
    """The order learns anew for itself."""
    before = source(sleeves("rs-12", [(24, FLAT)]))  # type: ignore[list-item]
    relearned([before], NOW)
    assert before[1].sleeves["rs-12"].groups == {FLAT: 24}


def test_given_rates_of_two_forms_are_one_group_of_an_order() -> None:
    """They are pooled by the rate, as they always were."""
    both = source(ask(RS12, 40), sleeves("rs-12", [(24, FLAT), (12, Given("rollable", 0.05))]))  # type: ignore[list-item]
    spares = needs_of([both], 0.95)[0].spares
    assert spares is not None and spares.groups == (ReworkGroup(36, 0.05),)
