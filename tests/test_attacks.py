"""A hundredth of the attacks that cost little: layouts, the check and variants of one case; see scripts/attack."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from scripts import attack_all, attack_check, attack_layouts, attack_metamorphic, attack_mixed
from scripts.attack_state import State


@pytest.mark.parametrize("seed", range(1, 21))
def test_the_check_passes_right_layouts_and_finds_one_thing_that_is_wrong(seed: int) -> None:
    assert attack_check.case(seed) is None


@pytest.mark.parametrize("seed", range(1, 5))
def test_random_layouts_pass_a_check_that_shares_nothing_with_the_programs(seed: int) -> None:
    assert attack_layouts.case(seed) is None


@pytest.mark.parametrize("seed", [1, 2, 3, 4, 317, 900056])  # 317: an overlay refused; 900056: one lost a zone
def test_no_bound_or_sentence_denies_a_planted_layout_of_mixed_pieces(seed: int) -> None:
    assert attack_mixed.case(seed) is None


@pytest.mark.parametrize("seed", range(1, 4))
def test_variants_of_a_case_are_answered_as_the_first_one(seed: int) -> None:
    assert attack_metamorphic.case(seed) is None


def test_leather_outside_the_edge_strip_is_not_taken_for_inside_by_the_engine() -> None:
    """Pieces touch the strip's border by a rounding; an intersection then held 7,219 mm² that lie in the strip."""
    assert attack_check.case(1875) is None


def test_the_independent_check_finds_what_is_wrong() -> None:
    """A check that finds nothing in a spoilt layout would find nothing at all."""
    layout = attack_check._right(np.random.default_rng(1))
    assert attack_layouts.wrong(layout) is None
    on = layout.hides[0]
    doubled = replace(on, placements=(*on.placements, replace(on.placements[0], number=0)))
    assert attack_layouts.wrong(replace(layout, hides=(doubled,))) == "two pieces overlap"
    fewer = replace(on, placements=on.placements[1:])
    assert "complete products" in (attack_layouts.wrong(replace(layout, hides=(fewer,))) or "")


def test_an_attack_is_gone_on_with_from_its_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    met: list[int] = []

    def case(seed: int) -> str | None:
        met.append(seed)
        if seed == 4:
            raise ValueError("crash")
        return "false" if seed == 2 else None

    monkeypatch.setitem(attack_all.KINDS, "some", attack_all.Kind(case, 5))
    for cases in (3, None):
        attack_all.attack("some", State(tmp_path / "state.json", 1), cases, None)
    kept = State(tmp_path / "state.json", 1).of("some")
    assert met == [1, 2, 3, 4, 5]
    assert (kept.next, kept.done) == (6, 5)
    assert [fault.split(",")[0] for fault in kept.faults] == ["seed 2", "seed 4"]
    assert kept.faults[1].endswith("ValueError: crash")
