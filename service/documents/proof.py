"""A plan's proof as a JSON-able document, member names as published."""

from __future__ import annotations

from typing import Any

from service.documents.numbers import amount, rounded
from service.domain.proof import Proof, ProvenBound

Document = dict[str, Any]


def proof_to(proof: Proof) -> Document:
    """Write a proof; prices only where price was made least."""
    document: Document = {
        "optimal": proof.optimal,
        "trays": proof.trays,
        "lower_bound": proof.lower_bound,
        "stack_mm": rounded(proof.stack_mm),
        "stack_lower_bound_mm": rounded(proof.stack_lower_bound_mm),
        "opened": proof.opened,
        "opened_lower_bound": proof.opened_lower_bound,
        "pieces": proof.pieces,
        "pieces_lower_bound": proof.pieces_lower_bound,
        "method": proof.method,
        "nodes": proof.nodes,
        "solver_used": proof.solver_used,
        "bounds": [bound_to(bound) for bound in proof.bounds],
    }
    if proof.cost is not None:
        document["cost"] = amount(proof.cost)
    if proof.cost_lower_bound is not None:
        document["cost_lower_bound"] = amount(proof.cost_lower_bound)
    return document


def bound_to(bound: ProvenBound) -> Document:
    """Write what shows one value's bound; figures that it does not have are left out."""
    document: Document = {
        "objective": bound.objective,
        "value": bound.value,
        "lower_bound": bound.lower_bound,
        "shown_by": bound.shown_by,
        "text": bound.text,
    }
    figures: Document = {
        "slot_kind": bound.slot_kind,
        "function": bound.function,
        "parameter": bound.parameter,
        "trays": list(bound.trays) or None,
        "need": bound.need,
        "most_with_less": bound.most_with_less,
        "nodes": bound.nodes or None,
    }
    document.update((name, value) for name, value in figures.items() if value is not None)
    document["solver_used"] = bound.solver_used
    return document
