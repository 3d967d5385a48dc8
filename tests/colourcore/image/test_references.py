"""All that a photo offers to judge its colours by, joined into one balance."""

from __future__ import annotations

import numpy as np
import pytest

from colourcore.colour.spaces import XYZ_TO_SRGB, lab_to_xyz, srgb_encode
from colourcore.errors import InputError
from colourcore.image.balance import Balance
from colourcore.image.chart import published_reference
from colourcore.image.checks import Level, check_balance, check_patch
from colourcore.image.develop import declared_linear, open_photo
from colourcore.image.light_checks import check_light
from colourcore.image.patches import Outline, PatchStatistics, measure_patch, read_patch
from colourcore.image.references import Card, Chart, References, balance_photo, neutral_lightness
from colourcore.image.response import CardExposure, response_from_exposures
from tests.colourcore.image import pictures

SIX = (95.0, 80.0, 65.0, 49.5, 35.0, 20.0)
WOODS = ((68.0, 6.5, 21.0), (52.0, 4.0, 14.0), (35.0, 3.0, 10.0))
CELL = 60


def contrast(code: np.ndarray) -> np.ndarray:
    return 0.3 * code + 0.7 * code**2 * (3 - 2 * code)


class Shot:
    """A picture of patches in a row of cells, each 60 pixels, and what each reads."""

    def __init__(
        self,
        labs: list[tuple[float, float, float]],
        *,
        curve: bool = False,
        linear: bool = False,
        exposure: float = 0.85,
        fall_off: float = 0.0,
        stray: float = 0.0,
        cast: tuple[float, float, float] = (1, 1, 1),
        rows: int = 1,
    ) -> None:
        columns = -(-len(labs) // rows)
        scene = np.zeros((rows * CELL, columns * CELL, 3))
        self.boxes = []
        for k, lab in enumerate(labs):
            y, x = CELL * (k // columns), CELL * (k % columns)
            scene[y : y + CELL, x : x + CELL] = lab_to_xyz(lab) @ XYZ_TO_SRGB.T
            self.boxes.append(Outline(x=x + 6, y=y + 6, width=CELL - 12, height=CELL - 12))
        across = np.linspace(0, 1, scene.shape[1])[None, :, None]
        scene = exposure * (scene + stray) * (1 - fall_off * across) * np.array(cast)
        scene += np.random.default_rng(1).normal(0, 0.002, scene.shape)
        code = np.clip(scene, 0, 1) if linear else srgb_encode(np.clip(scene, 0, 1))
        picture = np.round(65535 * (contrast(code) if curve else code)).astype(np.uint16)
        photo = open_photo(pictures.png(picture), "shot.png")
        self.photo = declared_linear(photo) if linear else photo
        self.patches: list[PatchStatistics] = [measure_patch(self.photo, box) for box in self.boxes]

    def cards(self, lightness: tuple[float, ...]) -> tuple[Card, ...]:
        pairs = zip(self.patches, lightness, strict=False)
        return tuple(Card(statistics=patch, lab=(value, 0.0, 0.0)) for patch, value in pairs)

    def wood(self, balance: Balance, count: int = len(WOODS)) -> np.ndarray:
        return np.array([read_patch(patch, balance).lab for patch in self.patches[-count:]])


def greys(lightness: tuple[float, ...]) -> list[tuple[float, float, float]]:
    return [(value, 0.0, 0.0) for value in lightness]


def test_one_card_leaves_what_a_contrast_curve_does_and_says_how_much_that_may_be() -> None:
    shot = Shot([*greys((49.5,)), *WOODS], curve=True)
    balance = balance_photo(References(cards=shot.cards((49.5,))))
    off = shot.wood(balance)[0, 0] - WOODS[0][0]
    assert off > 5
    assert off < 2 * read_patch(shot.patches[1], balance).total_errors[0]


@pytest.mark.parametrize("lightness", [SIX, (95.0, 49.5, 20.0)])
def test_a_step_card_takes_the_contrast_curve_out(lightness: tuple[float, ...]) -> None:
    shot = Shot([*greys(lightness), *WOODS], curve=True)
    balance = balance_photo(References(cards=shot.cards(lightness)))
    assert np.abs(shot.wood(balance) - WOODS).max() < 1.0
    assert balance.method.startswith(f"{len(lightness)} greys")
    assert balance.residual_delta_e is not None


def test_the_order_of_the_cards_does_not_matter() -> None:
    shot = Shot([*greys(SIX), *WOODS], curve=True)
    cards = shot.cards(SIX)
    one, other = (balance_photo(References(cards=row)) for row in (cards, cards[::-1]))
    assert shot.wood(one) == pytest.approx(shot.wood(other), abs=1e-9)


def test_a_declared_linear_file_with_stray_light_gets_its_differences_back() -> None:
    shot = Shot([*greys(SIX), *WOODS], linear=True, stray=0.03)
    alone = balance_photo(References(cards=shot.cards(SIX)[3:4]))
    stepped = balance_photo(References(cards=shot.cards(SIX)))
    true = WOODS[0][0] - WOODS[2][0]
    assert np.ptp(shot.wood(alone)[:, 0]) / true < 0.93
    assert np.ptp(shot.wood(stepped)[:, 0]) / true == pytest.approx(1, abs=0.02)
    assert "stray light" in stepped.method


def test_a_linear_file_that_looks_like_any_other_is_suspected_by_its_greys() -> None:
    shot = Shot([*greys(SIX), *WOODS], linear=True)
    ordinary = open_photo(pictures.png(shot.photo.pixels), "plain.png")
    cards = tuple(
        Card(statistics=measure_patch(ordinary, box), lab=(value, 0.0, 0.0))
        for box, value in zip(shot.boxes, SIX, strict=False)
    )
    assert "maybe_linear" in {check.code for check in check_balance(balance_photo(References(cards=cards)))}
    declared = balance_photo(References(cards=shot.cards(SIX)))
    assert "maybe_linear" not in {check.code for check in check_balance(declared)}


def test_a_cameras_own_curve_serves_with_one_card() -> None:
    exposures = [
        CardExposure(card=Shot(greys((49.5,)), curve=True, exposure=e).patches[0], seconds=e / 50, photo=f"{e}.jpg")
        for e in (0.1, 0.2, 0.4, 0.8, 1.6, 2.4, 3.2)
    ]
    response = response_from_exposures(exposures, "phone, plain mode")
    shot = Shot([*greys((49.5,)), *WOODS], curve=True)
    balance = balance_photo(References(cards=shot.cards((49.5,)), response=response))
    assert np.abs(shot.wood(balance)[:, 0] - [lab[0] for lab in WOODS]).max() < 0.6
    assert "the curve of phone, plain mode" in balance.method


def test_plain_ground_evens_the_light_out_and_says_by_how_much() -> None:
    ground = (60.0, 0.0, 0.0)
    labs = [ground, (49.5, 0.0, 0.0), ground, WOODS[0], ground, WOODS[1], ground, WOODS[2], ground]
    shot = Shot(labs, fall_off=0.25)
    card = (Card(statistics=shot.patches[1], lab=(49.5, 0.0, 0.0)),)
    uneven = balance_photo(References(cards=card))
    evened = balance_photo(References(cards=card, backgrounds=tuple(shot.patches[0::2])))
    wood = [3, 5, 7]
    read = {b: np.array([read_patch(shot.patches[k], b).lab for k in wood]) for b in (uneven, evened)}
    assert np.abs(read[uneven] - WOODS)[:, 0].max() > 2
    assert np.abs(read[evened] - WOODS).max() < 0.3
    (check,) = check_light(evened, [shot.patches[k] for k in wood], shot.patches[1])
    assert check.code == "light_evened"
    assert "by 5 patches" in check.message
    assert read_patch(shot.patches[7], evened).covariance[0][0] > read_patch(shot.patches[7], uneven).covariance[0][0]


def test_light_that_falls_off_over_the_card_itself_is_warned_about() -> None:
    shot = Shot([(49.5, 0.0, 0.0), *WOODS], fall_off=0.25)
    balance = balance_photo(References(cards=shot.cards((49.5,))))
    (check,) = check_light(balance, shot.patches[1:], shot.patches[0])
    assert (check.code, check.level) == ("light_uneven", Level.WARN)
    even = Shot([(49.5, 0.0, 0.0), *WOODS])
    assert check_light(balance_photo(References(cards=even.cards((49.5,)))), even.patches[1:], even.patches[0]) == ()


def test_light_too_uneven_to_divide_out_refuses_the_patch() -> None:
    ground = (60.0, 0.0, 0.0)
    shot = Shot([ground, (49.5, 0.0, 0.0), ground, ground, WOODS[0], ground], fall_off=0.75)
    card = (Card(statistics=shot.patches[1], lab=(49.5, 0.0, 0.0)),)
    balance = balance_photo(References(cards=card, backgrounds=tuple(shot.patches[k] for k in (0, 2, 3, 5))))
    refusal = {check.code: check.level for check in check_patch(shot.patches[4], balance)}
    assert refusal["light_uneven"] is Level.REFUSE


def test_two_cards_at_two_ends_show_the_fall_off_between_them() -> None:
    card = (49.5, 0.0, 0.0)
    shot = Shot([card, *WOODS, card], fall_off=0.2)
    cards = tuple(Card(statistics=shot.patches[k], lab=card) for k in (0, 4))
    balance = balance_photo(References(cards=cards))
    read = np.array([read_patch(patch, balance).lab for patch in shot.patches[1:4]])
    assert np.abs(read - WOODS).max() < 0.4


@pytest.mark.parametrize(
    ("second", "fall_off", "said"),
    [
        ((49.5, 0, 25), 0.0, "apart in a"),
        ((20.0, 0, 0), 0.0, "less than another"),
        ((49.5, 0, 0), 0.8, "less than another"),
    ],
)
def test_two_cards_that_disagree_are_refused(second: tuple[float, float, float], fall_off: float, said: str) -> None:
    shot = Shot([(49.5, 0.0, 0.0), second], fall_off=fall_off)
    cards = tuple(Card(statistics=patch, lab=(49.5, 0.0, 0.0)) for patch in shot.patches)
    with pytest.raises(InputError, match=said):
        balance_photo(References(cards=cards))


def test_greys_stated_the_wrong_way_round_are_refused() -> None:
    shot = Shot(greys((80.0, 20.0)))
    cards = tuple(
        Card(statistics=patch, lab=(value, 0.0, 0.0)) for patch, value in zip(shot.patches, (20.0, 80.0), strict=True)
    )
    with pytest.raises(InputError, match="order of their stated L"):
        balance_photo(References(cards=cards))


def test_a_neutral_thing_keeps_colours_comparable_and_withholds_the_absolute() -> None:
    shots = [Shot([(88.0, 0.0, 0.0), *WOODS], exposure=exposure, cast=(1, 0.9, 0.8)) for exposure in (0.8, 0.5)]
    assumed = neutral_lightness(shots[0].patches[0])
    balances = [balance_photo(References(neutral=shot.patches[0], assumed_lightness=assumed)) for shot in shots]
    assert not any(balance.absolute for balance in balances)
    assert shots[0].wood(balances[0]) == pytest.approx(shots[1].wood(balances[1]), abs=0.2)
    assert "relative_only" in {check.code for check in check_balance(balances[0])}


def test_a_card_goes_before_a_neutral_thing() -> None:
    shot = Shot([(49.5, 0.0, 0.0), (88.0, 0.0, 0.0), *WOODS])
    assert balance_photo(References(cards=shot.cards((49.5,)), neutral=shot.patches[1])).absolute


def test_a_chart_takes_the_cards_place() -> None:
    reference = published_reference()
    from colourcore.colour.spaces import xyz_to_lab

    labs = [tuple(lab) for lab in xyz_to_lab(reference.xyz)]
    shot = Shot([*labs, *WOODS], curve=True, rows=3)
    balance = balance_photo(References(chart=Chart(patches=tuple(shot.patches[:24]), reference=reference)))
    assert balance.method.startswith(f"a chart ({reference.name})")
    assert balance.residual_delta_e is not None
    assert balance.residual_delta_e < 3
    assert np.abs(shot.wood(balance) - WOODS)[:, 0].max() < 1.0


def test_a_photo_without_anything_neutral_cannot_be_balanced() -> None:
    with pytest.raises(InputError, match="got none"):
        balance_photo(References())


def test_the_curve_beyond_the_last_grey_is_marked() -> None:
    shot = Shot([*greys((80.0, 65.0, 49.5)), *WOODS])
    balance = balance_photo(References(cards=shot.cards((80.0, 65.0, 49.5))))
    assert "outside_steps" in {check.code for check in check_patch(shot.patches[-1], balance)}
    assert "outside_steps" not in {check.code for check in check_patch(shot.patches[-2], balance)}
