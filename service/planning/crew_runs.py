"""The job run through many times with drawn times and remakes, for the figure that nine jobs in ten stay within.

Every time by hand is its mean times a factor of its own: log-normal with mean 1 and the given relative spread (1,024
equally likely values). That holds for the preparing of a splice, for its fusing and laying in, for the set-up, for each
cable and for the closing. A heater's time does not vary. Each splice is tried until it is accepted, and every attempt
passes the whole line; a remake follows at once on the attempt that failed. At a station of several hands whoever is
free first takes the attempt that came first.

The same seed gives the same runs on every machine: the raw 64-bit words of PCG64 are all that is taken from the
generator, times are whole milliseconds, and what is drawn does not depend on the crew, so that two crews are compared
by the same draws.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from statistics import NormalDist

import numpy as np
import numpy.typing as npt

Whole = npt.NDArray[np.int64]
Words = npt.NDArray[np.uint64]

_LEVELS = 1024
_LEVEL_BITS = 10
_ATTEMPTS, _HANDS, _FIXED = 0, 1, 2
_FEW = 4


@dataclass(frozen=True, slots=True)
class Kind:
    """Equal splices: how many, the probability of a remake, and the mean seconds of their stages.

    ``rework`` is one probability, or one for each run where it is learned and all splices of a run share it.
    """

    splices: int
    rework: float | tuple[float, ...]
    prepare_s: float
    join_s: float
    heat_s: float


@dataclass(frozen=True, slots=True)
class Hands:
    """A station: how many hands or machines, and which of the three shares of a splice they do."""

    number: int
    prepare: bool = False
    join: bool = False
    heat: bool = False


class CrewRuns:
    """So many runs of the kinds of splice in the order given; all arrays are (attempt or splice, run), in ms."""

    def __init__(self, kinds: Sequence[Kind], fixed_s: Sequence[float], spread: float, seed: int, runs: int) -> None:
        self.fixed_ms = _fixed_ms(fixed_s, spread, seed, runs)
        self.runs = runs
        self.last: Whole = _last_attempts(kinds, seed, runs)
        attempts = int(self.last[-1].max()) if len(self.last) else 0
        which = _kind_of_attempt([kind.splices for kind in kinds], self.last, attempts, runs)
        words = _words(seed, _HANDS, (attempts, runs))
        at = which * _LEVELS
        self.prepare_ms: Whole = _table([kind.prepare_s for kind in kinds], spread)[at + _level(words, 0)]
        self.join_ms: Whole = _table([kind.join_s for kind in kinds], spread)[at + _level(words, 1)]
        self.heat_ms: Whole = _table([kind.heat_s for kind in kinds], 0.0)[at]

    def ends_ms(self, line: Sequence[Hands]) -> Whole:
        """When all is done in each run, from the moment that the first splice is taken up."""
        left = self._left_ms(line)
        ends: Whole = left.max(axis=0) if len(left) else np.zeros(self.runs, dtype=np.int64)
        return ends

    def done_ms(self, line: Sequence[Hands]) -> Whole:
        """When each splice is done with all before it, counted likewise."""
        done: Whole = np.take_along_axis(np.maximum.accumulate(self._left_ms(line), axis=0), self.last - 1, axis=0)
        return done

    def _left_ms(self, line: Sequence[Hands]) -> Whole:
        left: Whole = np.zeros_like(self.heat_ms)
        in_turn = True
        for station in line:
            spent = self._spent_ms(station)
            if in_turn:
                left = _through(left, spent, station.number)
            else:
                order = np.argsort(left, axis=0, kind="stable")
                come, take = np.take_along_axis(left, order, axis=0), np.take_along_axis(spent, order, axis=0)
                np.put_along_axis(left, order, _through(come, take, station.number), axis=0)
            in_turn = in_turn and station.number == 1
        return left

    def _spent_ms(self, station: Hands) -> Whole:
        shares = ((station.prepare, self.prepare_ms), (station.join, self.join_ms), (station.heat, self.heat_ms))
        spent = [share for does, share in shares if does]
        return sum(spent[1:], start=spent[0])


def _through(ready: Whole, spent: Whole, hands: int) -> Whole:
    """When attempts leave a station that they come to at ``ready``, in this order; none waits while a hand is free."""
    left = np.empty_like(spent)
    if hands == 1 or len(spent) <= hands:
        for at in range(len(spent)):
            begun = np.maximum(ready[at], left[at - 1]) if at and hands == 1 else ready[at]
            np.add(begun, spent[at], out=left[at])
        return left
    free = np.zeros((hands, spent.shape[1]), dtype=np.int64)
    take = _take_by_insertion if hands <= _FEW else _take_by_search
    for at in range(len(spent)):
        take(free, ready[at], spent[at], left[at])
    return left


def _take_by_insertion(free: Whole, ready: Whole, spent: Whole, left: Whole) -> None:
    """The first of the hands, sorted by when they are free, takes the attempt: quickest for few hands."""
    np.add(np.maximum(ready, free[0]), spent, out=left)
    later = left
    for hand in range(1, len(free)):
        other = free[hand].copy()
        np.minimum(other, later, out=free[hand - 1])
        later = np.maximum(other, later)
    free[-1] = later


def _take_by_search(free: Whole, ready: Whole, spent: Whole, left: Whole) -> None:
    """The same for many hands, in no order."""
    runs = np.arange(len(ready))
    first = free.argmin(axis=0)
    np.add(np.maximum(ready, free[first, runs]), spent, out=left)
    free[first, runs] = left


def _last_attempts(kinds: Sequence[Kind], seed: int, runs: int) -> Whole:
    """For each splice the number of attempts up to and with the one that is accepted: geometric, added up."""
    splices = sum(kind.splices for kind in kinds)
    words = (_words(seed, _ATTEMPTS, (splices, runs)) >> np.uint64(32)).astype(np.int64)
    attempts = np.ones((splices, runs), dtype=np.int64)
    first = 0
    for kind in kinds:
        own = slice(first, first + kind.splices)
        # The k-th remake is made where the word lies below p^k of its range.
        if isinstance(kind.rework, float | int):
            below, chance = [], kind.rework
            while chance * 2**32 >= 1:
                below.append(math.floor(chance * 2**32))
                chance *= kind.rework
            if below:
                attempts[own] += len(below) - np.searchsorted(np.array(below[::-1]), words[own], side="right")
        else:
            rates = np.array(kind.rework)
            chances = rates.copy()
            while (chances * 2**32 >= 1).any():
                attempts[own] += words[own] < np.floor(chances * 2**32).astype(np.int64)
                chances *= rates
        first += kind.splices
    return np.cumsum(attempts, axis=0)


def _kind_of_attempt(splices: Sequence[int], last: Whole, attempts: int, runs: int) -> Whole:
    """The kind that each attempt belongs to; beyond a run's last attempt one more than there are kinds."""
    begins = np.zeros((attempts + 1, runs), dtype=np.int64)
    end = 0
    for number in splices:
        end += number
        begins[last[end - 1] if end else 0, np.arange(runs)] += 1
    which: Whole = np.cumsum(begins[:attempts], axis=0)
    return which


def _table(means_s: Sequence[float], spread: float) -> Whole:
    """Milliseconds by kind and level, and a row of nothing for what is beyond a run's last attempt."""
    factors = _factors(spread)
    rows = [np.rint(mean * 1000 * factors) for mean in means_s]
    table: Whole = np.concatenate([*rows, np.zeros(_LEVELS)]).astype(np.int64)
    return table


@lru_cache(maxsize=16)
def _factors(spread: float) -> npt.NDArray[np.float64]:
    """The middles of 1,024 equal shares of the log-normal distribution, divided by their mean, to six decimals."""
    if spread <= 0:
        return np.ones(_LEVELS)
    sigma = math.sqrt(math.log1p(spread * spread))
    normal = NormalDist()
    raw = [math.exp(sigma * normal.inv_cdf((level + 0.5) / _LEVELS)) for level in range(_LEVELS)]
    mean = math.fsum(raw) / _LEVELS
    # Rounded, so that the last bit of a machine's exponential does not matter.
    return np.array([round(each / mean, 6) for each in raw])


def _fixed_ms(fixed_s: Sequence[float], spread: float, seed: int, runs: int) -> Whole:
    level = _level(_words(seed, _FIXED, (len(fixed_s), runs)), 0)
    factors = _factors(spread)
    total = np.zeros(runs, dtype=np.int64)
    for mean, own in zip(fixed_s, level, strict=True):
        total += np.rint(mean * 1000 * factors[own]).astype(np.int64)
    return total


def _level(words: Words, share: int) -> Whole:
    """One of the ten-bit shares of each word."""
    return ((words >> np.uint64(share * _LEVEL_BITS)) & np.uint64(_LEVELS - 1)).astype(np.int64)


@lru_cache(maxsize=64)
def _stream(seed: int, stream: int, blocks: int) -> Words:
    raw: Words = np.random.PCG64(np.random.SeedSequence((seed, stream))).random_raw(blocks)
    raw.flags.writeable = False
    return raw


def _words(seed: int, stream: int, shape: tuple[int, int]) -> Words:
    """The first words of a stream of the seed's. Streams are kept by powers of two, as most jobs are alike in size."""
    number = shape[0] * shape[1]
    return _stream(seed, stream, 1 << max(10, number - 1).bit_length() if number else 1)[:number].reshape(shape)
