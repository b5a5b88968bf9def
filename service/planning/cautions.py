"""The cautions that stand on every plan and printed sheet.

Own words after common safety practice of the trade; the manhole clause follows 29 CFR 1910.268(o) and its like, the
solvent clause the NIOSH Pocket Guide entry for isopropyl alcohol. They replace no rule and no training.
"""

from __future__ import annotations

from typing import Literal

SiteKind = Literal["handhole", "vault", "pole", "pedestal"]

_ALWAYS = (
    "This plan advises and certifies nothing. Local codes, the owner's rules and the makers' instructions come first, "
    "and the work is for trained and, where the law asks it, licensed people.",
    "Bare glass: wear eye protection, keep every fibre end in a closed bin, do not eat or drink at the bench, "
    "and wash hands afterwards.",
    "Invisible laser light: take every fibre as live until it is measured dark, and never look into an end.",
    "Solvent: alcohol burns with a flash point near 12 °C; keep it from arc, heater and flame, and air the place.",
    "Heat: stripper and sleeve heater burn skin, and so do heat guns and torches used to seal.",
    "Arc: run no fusion splicer where gas may be present; bring the cable out to a safe place instead.",
    "Lifting: covers, cable drums and full closures are heavy; lift with help or a tool.",
)

_ARMOURED = (
    "Metallic cable members: test for foreign voltage before touching, bond across the opening before it is cut, "
    "and have bonding and earthing done as the electrical code and a qualified person say.",
)

_ANY_METAL = (
    "Metal in or beside a cable may carry foreign voltage; where there is any, have bonding and earthing done "
    "as the electrical code and a qualified person say.",
)

_TRAFFIC = "Traffic: set up a work zone by the road authority's rules before a cover or a cabinet is opened."

_CONFINED = (
    "Confined space: guard the opening, test the air for gas and oxygen before anyone enters and go on testing, "
    "ventilate, keep a trained attendant above, and enter only under the permit that local rules ask for."
)

_BY_SITE: dict[str, tuple[str, ...]] = {
    "handhole": (
        _TRAFFIC,
        "Handhole: test for gas before leaning in; if a person can get in, treat it as a confined space.",
    ),
    "vault": (_TRAFFIC, _CONFINED),
    "pole": (
        _TRAFFIC,
        "Work at height: inspect the pole, secure against falls, and keep the clearances to power lines "
        "that the code and the pole's owner ask for.",
    ),
    "pedestal": (_TRAFFIC, "Pedestal: look out for insects, sharp edges and shared power before reaching in."),
}

_UNKNOWN_SITE = (_TRAFFIC, _CONFINED)


def cautions(armoured: bool, site: SiteKind | None) -> tuple[str, ...]:
    """The cautions for a splice point; ``armoured``: some cable has metallic members; no site named: the wider set."""
    metal = _ARMOURED if armoured else _ANY_METAL
    return (*_ALWAYS, *metal, *(_UNKNOWN_SITE if site is None else _BY_SITE[site]))
