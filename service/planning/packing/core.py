"""Solving a packing problem: cost and height first, then hanging trays opened, then pieces, each with its proof."""

from __future__ import annotations

from dataclasses import replace

from service.planning.packing.budget import Budget, OutOfNodesError
from service.planning.packing.case import CUT, LOOSE
from service.planning.packing.covers import covers_of
from service.planning.packing.drafts import Draft
from service.planning.packing.duals import plain_label_needs, tuned_label_needs
from service.planning.packing.evidence import by_solver, evidence_of, height_at_least, in_words, why_nothing_fits
from service.planning.packing.groups import fewest_by_groups
from service.planning.packing.labels import composed, floor_of_labels, packed_in_turn
from service.planning.packing.laying import orders_of
from service.planning.packing.lightening import lightened
from service.planning.packing.lots import lots_for_room
from service.planning.packing.measures import Measure, measures_of
from service.planning.packing.mixes import Mix
from service.planning.packing.needs import Need, needs_of, sharp_needs, within
from service.planning.packing.patterns import Settled, fewest_by_fillings, settled_by_fillings
from service.planning.packing.problem import Bounds, Evidence, Packing, Problem
from service.planning.packing.reading import most_in_any_kind, read
from service.planning.packing.rebuilding import from_room
from service.planning.packing.refining import Refiner
from service.planning.packing.search import Openings, RoomSearch
from service.planning.packing.sharp import LotMeasure, sharp_measures
from service.planning.packing.survey import Survey, Surveyor
from service.planning.packing.tidy import tidied

NODE_LIMIT = 40_000
"""How many nodes a search may take by default: half a second for most problems that need all of them, two at worst."""

APART_NODES = 20
"""What it counts to solve a part of the problem by itself, beside the nodes of its search."""

CHEAP_NODES = 1_500
"""How many are spent on mixes and searches before a solver is asked."""

GLIMPSE_NODES = 200
"""How many of them the first short search of the lightest mix may take."""


def solve(problem: Problem, node_limit: int = NODE_LIMIT) -> Packing:
    """Pack the items into trays: least cost, then least height, fewest hanging trays opened, fewest pieces.

    All hanging trays are listed in the answer, also those left untouched. Where ``node_limit`` ends a search, the
    bounds say what is proven all the same, and ``fits`` is None where not even a packing was found. Under ``oversize``
    an item may be split only where it is larger than what an empty tray of any kind could take of it.
    Raises ValueError where the price is to be least and a tray kind has none.
    """
    return Solver(problem, Budget(node_limit)).run()


class Solver:
    """One problem being solved."""

    def __init__(self, problem: Problem, budget: Budget) -> None:
        self.problem = problem
        self.budget = budget
        self.limit = budget.left
        self.by_solver = False
        self.case = read(problem)
        self.measures: list[Measure] = []
        self.orders: list[list[int]] = []
        self.needs: list[Need] = []
        self.sharp: list[LotMeasure] | None = None
        self.surveyor = Surveyor(self.case, [], 0)
        self.searched = 0
        self.rooms: dict[Mix, RoomSearch] = {}
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
                why = self.told(why_nothing_fits(self.case, self.needs, self.searched))
                return Packing(fits=False, method=in_words(why, True), nodes=self.budget.spent, evidence=why)
            return Packing(fits=None, method="undecided at the node limit", nodes=self.budget.spent)
        if doubtful is not None:
            draft = lightened(self.case, draft)
        # Mixes of equal weight compete on what follows, whether or not a packing of them is known yet.
        equals = [mix for weight, mix in (*survey.packed, *survey.open) if weight == draft.weight]
        if doubtful is None and draft.pieces > floor:
            grouped = fewest_by_groups(self.case, draft.weight, equals, self.budget)
            if grouped is not None:
                return self.answer(grouped, None, 0, grouped.pieces)
        if self.problem.split == "free" and (doubtful is not None or draft.pieces > floor):
            uncut, least = self.uncut(draft.weight if doubtful is None else doubtful, floor)
            if uncut is not None:
                return uncut
            floor = least if doubtful is None else floor
        if doubtful is None and draft.pieces > floor and not draft.opened and CUT in self.case.cut_of:
            draft, floor = self.refined_cheaply(draft, equals, floor)
        if doubtful is None and draft.pieces > floor and not draft.opened and CUT in self.case.cut_of:
            fewest = fewest_by_fillings(self.case, draft, equals, floor, self.limit // 2)
            if fewest is not None:
                self.by_solver = True
                draft, floor = fewest
                if draft.pieces == floor:
                    return self.answer(draft, None, 0, floor)
        opened_bound, pieces_bound = 0, floor
        if doubtful is None:
            opened_bound, pieces_bound = draft.opened, floor
            if draft.opened or draft.pieces != floor:
                draft, opened_bound, pieces_bound = self.refined(draft, equals, floor)
        return self.answer(draft, doubtful, opened_bound, pieces_bound)

    def uncut(self, weight: int, floor: int) -> tuple[Packing | None, int]:
        """A packing of a weight known to be the least that cuts no bundle without need: nothing can then be better.

        Such a packing is looked for as if only oversize bundles might be split; it is one under free splitting too.
        The second number is the pieces at least: one more than with no needless cut where that is ruled out.
        """
        part = self.budget.part(self.budget.left // 2)
        other = solve(replace(self.problem, split="oversize"), part.left)
        self.budget.left -= other.nodes
        self.budget.spent += other.nodes
        self.by_solver = self.by_solver or any(each.solver for each in other.evidence)
        found = other.bounds
        if found is None:
            return None, floor + int(other.fits is False and self.oversize_alone_must_be_cut())
        if found.cost_bound * self.case.height_unit + found.height_bound > weight:
            return None, floor + int(self.oversize_alone_must_be_cut())
        if (found.cost, found.height) != divmod(weight, self.case.height_unit):
            return None, floor
        if found.opened or found.pieces != floor:
            return None, floor
        bounds = Bounds(found.cost, found.cost, found.height, found.height, 0, 0, floor, floor)
        evidence = self.told(evidence_of(self.case, self.needs, bounds, self.searched, floor))
        method = in_words(evidence, True)
        return replace(other, bounds=bounds, method=method, nodes=self.budget.spent, evidence=evidence), floor

    def oversize_alone_must_be_cut(self) -> bool:
        """Whether no bundle that an empty tray would take must be cut because only partly used trays are left."""
        case = self.case
        return not any(
            cut == CUT
            and item.size > case.likenesses[alike].most_anywhere
            and item.size <= most_in_any_kind(self.problem, item)
            for item, alike, cut in zip(self.problem.items, case.alike_of, case.cut_of, strict=True)
        )

    def surveyed(self) -> Survey:
        """What cheap rules find.

        Where the first mix that the plain measures allow is not packed, the sharper needs are made and the listing
        starts again from that weight.
        """
        quick = self.surveyor.survey(self.budget, self.needs, hasty=True)
        if not quick.open and (quick.draft is not None or quick.unseen is None):
            return quick
        case = self.case
        self.needs.extend(sharp_needs(case, lots_for_room(case), self.sharpen()))
        least = quick.unseen or 0
        start: Draft | None = None
        for least, mix in quick.open:
            start = self.glimpsed(least, mix) if within(self.needs, mix) else None
        covers = covers_of(case, lots_for_room(case), self.budget)
        if covers is not None and start is None:
            self.needs.extend(plain_label_needs(case, self.measures, covers))
        cheap, start = self.settled_cheaply(least, start)
        if cheap is not None:
            return cheap
        if start is None or start.weight > least:
            last = settled_by_fillings(case, self.needs, self.surveyor.bankable, least, self.limit)
            if last is not None:
                self.by_solver = True
                self.needs.extend(last.needs)
                self.searched += last.branches
                self.budget.spent += last.nodes
                if start is None or (last.draft is not None and last.draft.weight < start.weight):
                    start = last.draft
                if last.decided:
                    return self.equals_of(last)
                least = max(least, last.least or 0)
        if covers is None or start is not None:
            return self.surveyor.survey(self.budget, self.needs, least, start)
        self.needs.extend(tuned_label_needs(case, covers, self.needs))
        in_turn = packed_in_turn(self.problem, self.solved_apart)
        floor = floor_of_labels(self.problem, self.solved_apart)
        packings = () if floor is None else floor.packs
        for packs in packings if in_turn is None else (in_turn, *packings):
            draft = composed(self.case, packs, self.orders[1])
            if draft is not None and (start is None or (draft.weight, *draft.rank) < (start.weight, *start.rank)):
                start = draft
        if floor is not None:
            least = max(least, floor.weight)
        return self.surveyor.survey(self.budget, self.needs, least, start)

    def equals_of(self, last: Settled) -> Survey:
        """The survey that starts from what the last resort decided; equal mixes are looked at where that can matter."""
        draft = last.draft
        if draft is None or last.mix is None:
            return Survey()
        if draft.opened or draft.pieces != self.surveyor.fewest:
            return self.surveyor.survey(self.budget, self.needs, draft.weight, draft)
        return Survey(draft, [(draft.weight, last.mix)])

    def settled_cheaply(self, least: int, start: Draft | None) -> tuple[Survey | None, Draft | None]:
        """What is decided with few nodes, None where it is not; and the best packing seen."""
        whole = self.budget
        self.budget = whole.part(min(CHEAP_NODES, whole.left // 8))
        try:
            survey = self.surveyor.survey(self.budget, self.needs, least, start)
            draft, doubtful = self.decided(survey)
        finally:
            whole.take_back(self.budget)
            self.budget = whole
        if doubtful is not None:
            return None, draft
        survey.draft = draft
        survey.open = [(weight, mix) for weight, mix in survey.open if draft is not None and weight >= draft.weight]
        return survey, draft

    def solved_apart(self, problem: Problem, nodes: int) -> Packing:
        """The answer to a part of the problem, what it takes being charged."""
        if self.budget.left < self.limit // 3:
            return Packing(fits=None)
        answer = solve(problem, nodes)
        self.budget.left -= answer.nodes + APART_NODES
        self.budget.spent += answer.nodes + APART_NODES
        return answer

    def room_in(self, mix: Mix, budget: Budget) -> RoomSearch:
        """The search for room in a mix; asked again, it goes on with all that it has ruled out before."""
        search = self.rooms.get(mix)
        if search is None:
            search = RoomSearch(self.case, self.measures, mix, self.all_open, budget, self.sharpen())
            self.rooms[mix] = search
        search.budget = budget
        return search

    def glimpsed(self, weight: int, mix: Mix) -> Draft | None:
        """What a short search finds in the lightest mix: tight mixes are often settled so, where cheap rules fail."""
        part = self.budget.part(GLIMPSE_NODES)
        try:
            found = self.room_in(mix, part).run()
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
                found = self.room_in(mix, part).run()
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

    def refined_cheaply(self, draft: Draft, equals: list[Mix], floor: int) -> tuple[Draft, int]:
        """What few nodes show of the pieces: (packing, bound on pieces)."""
        part = self.budget.part(CHEAP_NODES)
        refiner = Refiner(self.case, self.measures, self.sharpen(), self.orders, equals, part)
        try:
            return refiner.fewest_pieces(draft, floor, short=True)
        finally:
            self.budget.take_back(part)

    def answer(self, draft: Draft, doubtful: int | None, opened_bound: int, pieces_bound: int) -> Packing:
        """The packing with its bounds."""
        unit = self.case.height_unit
        cost, height = divmod(draft.weight, unit)
        cost_bound, height_bound = cost, height
        if doubtful is not None and doubtful < draft.weight:
            cost_bound, height_bound = divmod(doubtful, unit)
            if cost_bound < cost:
                height_bound = height_at_least(self.case, self.needs)
        bounds = Bounds(cost, cost_bound, height, height_bound, draft.opened, opened_bound, draft.pieces, pieces_bound)
        evidence = self.told(evidence_of(self.case, self.needs, bounds, self.searched, self.pieces_at_least()))
        return Packing(
            fits=True,
            trays=tidied(self.problem, self.case, draft),
            later=draft.later,
            bounds=bounds,
            method=in_words(evidence, bounds.optimal),
            nodes=self.budget.spent,
            evidence=evidence,
        )

    def told(self, evidence: tuple[Evidence, ...]) -> tuple[Evidence, ...]:
        """The evidence, saying so where the last-resort solver had a part in it."""
        return by_solver(evidence) if self.by_solver else evidence

    def pieces_at_least(self) -> int:
        """Pieces of counted items in any packing."""
        case = self.case
        pieces = 0
        for alike, size, cut in zip(case.alike_of, case.sizes, case.cut_of, strict=True):
            if size and cut != LOOSE:
                pieces += -(-size // case.likenesses[alike].most_anywhere)
        return pieces
