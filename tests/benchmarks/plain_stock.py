"""Cutting lists of a size, and the same stock model given to the solver plainly.

The plain model is the assignment one (Kantorovich, 1960; from memory): piece i on bar j or not,
bar j bought or not, HiGHS to find the least bars. It is what one would write first.
"""

from __future__ import annotations

import random
import time
from dataclasses import dataclass

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_array, csr_array

from railsheet.cuts.stock_model import CuttingList, Piece, Saw, Section, StockLength
from railsheet.cuts.stock_plan import plan_stock

BAR_MM = 4876.8
KERF_MM, TRIM_MM = 3.0, 5.0
SECTION = Section("rail", "black", 40.0)


def rails(count: int, seed: int, section: Section = SECTION) -> CuttingList:
    """So many rails of chance lengths, for a section with or without holes."""
    pick = random.Random(seed)
    pieces = tuple(
        Piece(
            f"P{n}",
            "rail",
            "black",
            float(pick.randint(700, 2600)),
            hole_mm=pick.uniform(0, section.pitch_mm) if section.pitch_mm else None,
        )
        for n in range(count)
    )
    first = 57.15 if section.pitch_mm else None
    return CuttingList(
        (section,),
        pieces,
        (StockLength("rail", "black", BAR_MM, first_hole_mm=first),),
        (),
        Saw(KERF_MM, TRIM_MM, 300.0),
    )


@dataclass(frozen=True)
class Found:
    """What was found in what time.

    Attributes:
        bars: how many bars are bought; None where no plan was found.
        bound: no plan buys fewer.
        cpu_s: processor time.
    """

    bars: int | None
    bound: int
    cpu_s: float


def planned(work: CuttingList, effort: float) -> Found:
    """The product's plan."""
    start = time.process_time()
    plan = plan_stock(work, effort).sections[0]
    spent = time.process_time() - start
    assert not plan.uncut
    return Found(plan.bars_bought, round(plan.bound / plan.cost * plan.bars_bought), spent)


def plainly(work: CuttingList, most_bars: int, limit_s: float) -> Found:
    """The assignment model, as many bars on offer as are known to be enough."""
    lengths = np.array([piece.length_mm for piece in work.pieces])
    count = len(lengths)
    # The last piece's kerf may fall in the trim: as the product counts it.
    room = BAR_MM - 2 * TRIM_MM + KERF_MM
    start = time.process_time()
    on_bar = np.arange(count * most_bars).reshape(count, most_bars)
    bought = count * most_bars + np.arange(most_bars)
    size = count * most_bars + most_bars
    once = coo_array(
        (np.ones(count * most_bars), (np.repeat(np.arange(count), most_bars), on_bar.ravel())),
        shape=(count, size),
    )
    rows = np.concatenate([np.tile(np.arange(most_bars), count), np.arange(most_bars)])
    values = np.concatenate([np.repeat(lengths + KERF_MM, most_bars), np.full(most_bars, -room)])
    fits = coo_array(
        (values, (rows, np.concatenate([on_bar.ravel(), bought]))), shape=(most_bars, size)
    )
    cost = np.zeros(size)
    cost[bought] = 1.0
    result = milp(
        cost,
        constraints=[
            LinearConstraint(csr_array(once), 1, 1),
            LinearConstraint(csr_array(fits), -np.inf, 0.0),
        ],
        integrality=np.ones(size),
        bounds=Bounds(0, 1),
        options={"time_limit": limit_s},
    )
    spent = time.process_time() - start
    bound = 0 if result.mip_dual_bound is None else int(np.ceil(result.mip_dual_bound - 1e-6))
    return Found(None if result.x is None else round(result.fun), max(bound, 0), spent)
