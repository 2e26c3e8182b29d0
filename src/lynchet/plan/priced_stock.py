"""The stock of timber with its prices, wherever the file gives them: beside the length, or in the price list."""

from __future__ import annotations

from dataclasses import replace

from lynchet.project.model import Project
from lynchet.works.price_list import PriceList


def with_prices(project: Project) -> Project:
    """The project whose stock has the price of each length; what stands beside a length goes before the list.

    So the cheapest is cut and bought, not the shortest, whichever way the prices are given.
    """
    wood = project.timber
    if not project.prices.items or all(row.price is not None for row in wood.stock):
        return project
    known = PriceList(project.prices)
    sides = (wood.course_m, wood.thickness_m)
    stock = tuple(
        row if row.price is not None else replace(row, price=known.of_stick(row.length_m, sides)) for row in wood.stock
    )
    return project if stock == wood.stock else replace(project, timber=replace(wood, stock=stock))
