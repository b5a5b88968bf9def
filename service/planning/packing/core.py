"""Solving a packing problem: cost and height first, then hanging trays opened, then pieces, each with its proof."""

from __future__ import annotations

from dataclasses import replace

from service.planning.packing.budget import Budget, OutOfNodesError
from service.planning.packing.case import LOOSE
from service.planning.packing.covers import covers_of
from service.planning.packing.drafts import Draft
from service.planning.packing.duals import label_needs
from service.planning.packing.evidence import evidence_of, in_words, why_nothing_fits
from service.planning.packing.labels import composed, floor_of_labels, packed_in_turn
from service.planning.packing.laying import orders_of
from service.planning.packing.lots import lots_for_room
from service.planning.packing.measures import Measure, measures_of
from service.planning.packing.mixes import Mix
from service.planning.packing.needs import Need, needs_of, sharp_needs, within
from service.planning.packing.problem import Bounds, Evidence, Packing, Problem
from service.planning.packing.reading import read
from service.planning.packing.rebuilding import from_room
from service.planning.packing.refining import Refiner
from service.planning.packing.search import Openings, RoomSearch
from service.planning.packing.sharp import LotMeasure, sharp_measures
from service.planning.packing.survey import Survey, Surveyor
from service.planning.packing.tidy import tidied

NODE_LIMIT = 40_000
"""How many nodes a search may take by default: half a second for most problems that need all of them, two at worst."""

GLIMPSE_NODES = 800
"""How many of them the first short search of the lightest mix may take."""


def solve(problem: Problem, node_limit: int = NODE_LIMIT) -> Packing:
    """Pack the items into trays: least cost, then least height, fewest hanging trays opened, fewest pieces.

    All hanging trays are listed in the answer, also those left untouched. Where ``node_limit`` ends a search, the
    bounds say what is proven all the same, and ``fits`` is None where not even a packing was found. Under ``oversize``
    an item may be split only where it is larger than every tray that hangs or can still be added could take of it.
    Raises ValueError where the price is to be least and a tray kind has none.
    """
    return Solver(problem, Budget(node_limit)).run()


class Solver:
    """One problem being solved."""

    def __init__(self, problem: Problem, budget: Budget) -> None:
        self.problem = problem
        self.budget = budget
        self.case = read(problem)
        self.measures: list[Measure] = []
        self.orders: list[list[int]] = []
        self.needs: list[Need] = []
        self.sharp: list[LotMeasure] | None = None
        self.surveyor = Surveyor(self.case, [], 0)
        self.searched = 0
        self.all_open: Openings = tuple([len(b.hanging) for b in self.case.berths[: self.case.bought_from]])

    def run(self) -> Packing:
        """The whole way from measures to the tidy answer."""
        if self.case.impossible:
            method = self.case.impossible
            return Packing(fits=False, method=method, evidence=(Evidence("fit", method),))
        self.measures = measures_of(self.case)
        self.orders = orders_of(self.case)
        self.needs = needs_of(self.case, self.measures)
        floor = self.pieces_at_least()
        self.surveyor = Surveyor(self.case, self.orders, floor)
        survey = self.surveyed()
        draft, doubtful = self.decided(survey)
        if draft is None:
            if doubtful is None:
                why = why_nothing_fits(self.case, self.needs, self.searched)
                return Packing(fits=False, method=in_words(why, True), nodes=self.budget.spent, evidence=why)
            return Packing(fits=None, method="undecided at the node limit", nodes=self.budget.spent)
        if self.problem.split == "free" and (doubtful is not None or draft.pieces > floor):
            uncut = self.uncut(draft.weight if doubtful is None else doubtful, floor)
            if uncut is not None:
                return uncut
        opened_bound, pieces_bound = 0, floor
        if doubtful is None:
            # Mixes of equal weight compete on what follows, whether or not a packing of them is known yet.
            equals = [mix for weight, mix in (*survey.packed, *survey.open) if weight == draft.weight]
            opened_bound, pieces_bound = draft.opened, floor
            if draft.opened or draft.pieces != floor:
                draft, opened_bound, pieces_bound = self.refined(draft, equals, floor)
        return self.answer(draft, doubtful, opened_bound, pieces_bound)

    def uncut(self, weight: int, floor: int) -> Packing | None:
        """A packing of a weight known to be the least that cuts no bundle without need: nothing can then be better.

        Such a packing is looked for as if only oversize bundles might be split; it is one under free splitting too.
        """
        part = self.budget.part(self.budget.left // 2)
        other = solve(replace(self.problem, split="oversize"), part.left)
        self.budget.left -= other.nodes
        self.budget.spent += other.nodes
        found = other.bounds
        if found is None or (found.cost, found.height) != divmod(weight, self.case.height_unit):
            return None
        if found.opened or found.pieces != floor:
            return None
        bounds = Bounds(found.cost, found.cost, found.height, found.height, 0, 0, floor, floor)
        evidence = evidence_of(self.case, self.needs, bounds, self.searched, floor)
        return replace(
            other, bounds=bounds, method=in_words(evidence, True), nodes=self.budget.spent, evidence=evidence
        )

    def surveyed(self) -> Survey:
        """What cheap rules find.

        Where the first mix that the plain measures allow is not packed, the sharper needs are made and the listing
        starts again from that weight.
        """
        quick = self.surveyor.survey(self.budget, self.needs, hasty=True)
        if not quick.open:
            return quick
        case = self.case
        self.needs.extend(sharp_needs(case, lots_for_room(case), self.sharpen()))
        least, mix = quick.open[0]
        start = self.glimpsed(least, mix) if within(self.needs, mix) else None
        covers = covers_of(case, lots_for_room(case))
        if covers is None or start is not None:
            return self.surveyor.survey(self.budget, self.needs, least, start)
        self.needs.extend(label_needs(case, self.measures, covers, self.needs))
        floor = floor_of_labels(self.problem, solve)
        in_turn = packed_in_turn(self.problem, solve)
        packings = () if floor is None else floor.packs
        for packs in packings if in_turn is None else (in_turn, *packings):
            draft = composed(self.case, packs, self.orders[1])
            if draft is not None and (start is None or (draft.weight, *draft.rank) < (start.weight, *start.rank)):
                start = draft
        if floor is not None:
            least = max(least, floor.weight)
        return self.surveyor.survey(self.budget, self.needs, least, start)

    def glimpsed(self, weight: int, mix: Mix) -> Draft | None:
        """What a short search finds in the lightest mix: tight mixes are often settled so, where cheap rules fail."""
        part = self.budget.part(GLIMPSE_NODES)
        try:
            found = RoomSearch(self.case, self.measures, mix, self.all_open, part, self.sharpen()).run()
        except OutOfNodesError:
            return None
        finally:
            self.budget.take_back(part)
        return None if found is None else from_room(self.case, weight, mix, found)

    def sharpen(self) -> list[LotMeasure]:
        """The sharper measures, made when they are first asked for."""
        if self.sharp is None:
            self.sharp = sharp_measures(self.case, lots_for_room(self.case))
        return self.sharp

    def decided(self, survey: Survey) -> tuple[Draft | None, int | None]:
        """Search the mixes that cheap rules did not pack: (best packing, least weight that stays in doubt).

        Where every larger mix is at least as good (no room has to be kept for later trays), a mix with no room rules
        out all that are part of it; so where nothing is packed yet, the largest mixes are asked first.
        """
        draft = survey.draft
        grows = not self.case.in_stack and not self.case.spare
        hopeless: list[Mix] = []
        doubted: set[Mix] = set()

        def ask(weight: int, mix: Mix, nodes: int) -> Draft | None:
            if grows and any(all(m <= h for m, h in zip(mix, other, strict=True)) for other in hopeless):
                doubted.discard(mix)
                return None
            part = self.budget.part(max(nodes, 500))
            try:
                found = RoomSearch(self.case, self.measures, mix, self.all_open, part, self.sharpen()).run()
            except OutOfNodesError:
                doubted.add(mix)
                return None
            finally:
                self.budget.take_back(part)
            doubted.discard(mix)
            if found is None:
                hopeless.append(mix)
                self.searched += part.spent
                return None
            rebuilt = from_room(self.case, weight, mix, found)
            if rebuilt is None:
                doubted.add(mix)
            return rebuilt

        if draft is None and grows and survey.unseen is None:
            for weight, mix in reversed(survey.open):
                draft = ask(weight, mix, self.budget.left // 4)
                if draft is not None:
                    break
        waiting = [(w, mix) for w, mix in survey.open if draft is None or w < draft.weight]
        for number, (weight, mix) in enumerate(waiting):
            got = ask(weight, mix, self.budget.left // min(4, len(waiting) - number))
            if got is not None:
                draft = got
                break
        in_doubt = [w for w, mix in waiting if mix in doubted]
        if survey.unseen is not None:
            in_doubt.append(survey.unseen)
        if draft is not None:
            in_doubt = [w for w in in_doubt if w < draft.weight or w == survey.unseen == draft.weight]
        return draft, min(in_doubt, default=None)

    def refined(self, draft: Draft, equals: list[Mix], floor: int) -> tuple[Draft, int, int]:
        """The packing with fewest trays opened and pieces: (packing, bound on opened, bound on pieces)."""
        sharp = self.sharpen()
        refiner = Refiner(self.case, self.measures, sharp, self.orders, equals, self.budget)
        draft, opened_bound = refiner.fewest_opened(draft)
        if opened_bound < draft.opened:
            return draft, opened_bound, floor
        draft, pieces_bound = refiner.fewest_pieces(draft, floor)
        return draft, opened_bound, pieces_bound

    def answer(self, draft: Draft, doubtful: int | None, opened_bound: int, pieces_bound: int) -> Packing:
        """The packing with its bounds."""
        unit = self.case.height_unit
        cost, height = divmod(draft.weight, unit)
        cost_bound, height_bound = cost, height
        if doubtful is not None and doubtful < draft.weight:
            cost_bound, height_bound = divmod(doubtful, unit)
            if cost_bound < cost:
                height_bound = 0
        bounds = Bounds(cost, cost_bound, height, height_bound, draft.opened, opened_bound, draft.pieces, pieces_bound)
        evidence = evidence_of(self.case, self.needs, bounds, self.searched, self.pieces_at_least())
        return Packing(
            fits=True,
            trays=tidied(self.problem, self.case, draft),
            later=draft.later,
            bounds=bounds,
            method=in_words(evidence, bounds.optimal),
            nodes=self.budget.spent,
            evidence=evidence,
        )

    def pieces_at_least(self) -> int:
        """Pieces of counted items in any packing."""
        case = self.case
        pieces = 0
        for alike, size, cut in zip(case.alike_of, case.sizes, case.cut_of, strict=True):
            if size and cut != LOOSE:
                pieces += -(-size // case.likenesses[alike].most_anywhere)
        return pieces
