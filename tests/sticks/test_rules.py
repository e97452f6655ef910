"""Code limits and cautions: figures against their published source, words fit for voice and paper."""

import re
from fractions import Fraction

import pytest

from bench.core.cautions import Step
from bench.core.code import CodeLimits
from bench.core.notes import BenchError
from bench.data.files import structured
from bench.data.limits import cautions, code_limits

SIZES = ("1/2", "3/4", "1", "1 1/4", "1 1/2", "2", "2 1/2", "3", "3 1/2", "4")


def test_total_bend_between_pull_points() -> None:
    """Four right angles or the equivalent: NEC 358.26 (2020); NAVEDTRA 14027."""
    assert code_limits().bends.most_degrees == 4 * 90


@pytest.mark.parametrize("conduit", ["emt", "imc", "rmc", "aluminum", "coated"])
@pytest.mark.parametrize("size", SIZES)
def test_fastened_every_ten_feet_and_three_from_a_box(conduit: str, size: str) -> None:
    """NEC 358.30(A), 344.30(A) and (B)(1)."""
    rule = code_limits().support(conduit, size)
    assert [rule.from_box, rule.every] == [3 * 12, 10 * 12]
    assert rule.source


@pytest.mark.parametrize(
    ("size", "feet"), list(zip(SIZES, (10, 10, 12, 14, 14, 16, 16, 20, 20, 20), strict=True))
)
def test_straight_rigid_with_threaded_couplings(size: str, feet: int) -> None:
    """NEC Table 344.30(B)(2)."""
    assert code_limits().straight_spacing("rmc", size) == Fraction(feet * 12)


def test_tubing_has_no_wider_spacing_on_straight_runs() -> None:
    """The table is for threaded couplings; EMT is not threaded (NEC 358.28(B), from memory)."""
    assert code_limits().straight_spacing("emt", "1") is None


def test_unknown_conduit_says_so() -> None:
    with pytest.raises(BenchError) as caught:
        code_limits().support("emt", "9")
    assert caught.value.code == "no_support_rule"
    assert caught.value.message.values == {"size": "9", "conduit": "emt"}


def test_damaged_figures_name_file_and_key() -> None:
    with pytest.raises(BenchError, match=r"shared/code_limits\.toml.*bends"):
        structured("code_limits.toml", CodeLimits, {"bends": {"most_degrees": "many"}})


def test_every_step_has_its_caution() -> None:
    assert all(cautions().at(step) for step in Step)
    keys = [each.key for each in cautions().caution]
    assert len(keys) == len(set(keys))
    assert {"eyes", "edges", "foot", "footing", "live_parts", "hearing"} <= set(keys)


def test_cautions_are_short_and_speakable() -> None:
    """No digits or marks reach the voice; one breath each."""
    spoken = [each.said for each in cautions().caution] + [
        cautions().deference_said,
        code_limits().deference.said,
    ]
    for words in spoken:
        assert re.fullmatch(r"[A-Za-z ,.'-]+", words), words
        assert len(words.split()) <= 18, words


def test_every_figure_has_a_source() -> None:
    assert all(each.source for each in cautions().caution)
    limits = code_limits()
    single = (limits.bends.source, limits.pull.source, limits.stock.source, limits.joints.source)
    assert all(
        (*single, *(rule.source for rule in limits.supports), *(rule.source for rule in limits.straight_runs))
    )
