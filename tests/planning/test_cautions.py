"""Cautions: what stands on every plan and sheet."""

from __future__ import annotations

import pytest

from service.planning.cautions import SiteKind, cautions

_SITES: tuple[SiteKind | None, ...] = ("handhole", "vault", "pole", "pedestal", None)


@pytest.mark.parametrize("site", _SITES)
@pytest.mark.parametrize("armoured", [True, False])
@pytest.mark.parametrize(
    "hazard", ["glass", "laser", "solvent", "heat", "arc", "metal", "lifting", "traffic", "local codes", "licensed"]
)
def test_every_plan_carries_the_usual_cautions(site: SiteKind | None, armoured: bool, hazard: str) -> None:
    """Whatever the place and the cables, each hazard is named, and codes and qualified people come first."""
    assert hazard in " ".join(cautions(armoured, site)).lower()


def test_metallic_members_are_tested_and_bonded_before_they_are_cut() -> None:
    """An armoured cable asks for the stricter wording."""
    assert "bond across the opening before it is cut" in " ".join(cautions(True, "pole"))
    assert "bond across the opening" not in " ".join(cautions(False, "pole"))


@pytest.mark.parametrize(("site", "word"), [("vault", "Confined space"), ("handhole", "gas"), ("pole", "height")])
def test_each_place_has_its_own_cautions(site: SiteKind, word: str) -> None:
    """A vault is a confined space, a handhole may hold gas, a pole is high."""
    assert any(word in caution for caution in cautions(False, site))


def test_an_unnamed_place_gets_the_wider_set() -> None:
    """Where the place is not known, the confined-space caution stands as well."""
    assert set(cautions(True, "vault")) <= set(cautions(True, None))
