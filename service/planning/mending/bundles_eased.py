"""What is asked of bundles given up: that one stays whole, or that one lies apart from others."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from service.domain.refusal import Remedy
from service.domain.splices import Bundle, Work
from service.planning.mending.fewest import fewest_given_up
from service.planning.mending.named import ends_named
from service.planning.mending.trial import Trial


def divided(work: Work, chosen: frozenset[int]) -> Work:
    """The work with some bundles (by place) free to be divided: each of their splices is a bundle of its own."""
    bundles: list[Bundle] = []
    for place, bundle in enumerate(work.bundles):
        if place in chosen:
            bundles.extend(replace(bundle, splices=(splice,)) for splice in bundle.splices)
        else:
            bundles.append(bundle)
    return replace(work, bundles=tuple(bundles))


def bundles_divided(trial: Trial) -> Iterator[Remedy]:
    """Bundles that may be divided between trays: one where one is enough, else as few as are needed together."""
    bundles = trial.work.bundles
    larger = [place for place, bundle in enumerate(bundles) if len(bundle.splices) > 1]
    larger.sort(key=lambda place: -len(bundles[place].splices))
    chosen = fewest_given_up(larger, lambda some: trial.fits(work=divided(trial.work, some)))
    if chosen is None:
        return
    names = [ends_named(bundles[place], bundles[place].splices) for place in sorted(chosen)]
    several = f"bundles {_listed([str(place + 1) for place in sorted(chosen)])}"
    which = several if len(names) > 3 else "; ".join(names)
    text = f"divide {which} between trays (split rule free, or a joint for each part)"
    yield Remedy("split", "free", True, text, tuple(str(place + 1) for place in sorted(chosen)), len(chosen))


def labels_given_up(trial: Trial) -> Iterator[Remedy]:
    """Keep-apart labels whose splices may share trays with others: one where that is enough, else those needed."""
    work = trial.work
    labels = list(dict.fromkeys(bundle.label for bundle in work.bundles if bundle.label is not None))

    def enough(some: frozenset[str]) -> bool:
        return trial.fits(
            work=replace(work, bundles=tuple(replace(b, label=None) if b.label in some else b for b in work.bundles))
        )

    chosen = fewest_given_up(labels, enough)
    if chosen is not None:
        text = f"let the splices of {_listed([repr(label) for label in chosen])} share trays with others"
        yield Remedy("keep_apart", ", ".join(chosen), True, text, chosen, len(chosen))


def _listed(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
