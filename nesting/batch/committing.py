"""A plan's cuts into the register: all hides cut, their layouts kept, their offcuts back on the shelf, at once."""

from __future__ import annotations

from pathlib import Path

from hides.errors import InputError
from hides.stock import open_stock
from nesting.batch.plan import Plan
from nesting.stock.done import cuts_of
from nesting.stock.parting import noted


def refuse_folder(stock: Path) -> None:
    """InputError where a commit is asked for without a register."""
    if stock.is_dir():
        raise InputError(
            "is a folder of hide files, which keeps no record of what is cut",
            where=str(stock),
            field="--commit",
            remedy="make a register of it with “hideplan stock add”, and name that",
        )


def commit(plan: Plan, stock: Path, least_offcut: float = 0.0) -> int:
    """Commit the plan's cuts in one transaction, offcuts of at least `least_offcut` mm²; the number of the change.

    InputError where a hide has meanwhile been cut, taken out or changed; then nothing is changed.
    """
    with open_stock(stock) as register:
        cuts = cuts_of(register, [cut.layout for cut in plan.cuts], plan.order.source, least_offcut, plan.order.parting)
        return register.commit_cuts(cuts, note=noted(f"order {plan.order.name}", plan.order.parting))
