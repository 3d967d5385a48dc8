"""Camera raw: what was put into a DNG comes out again."""

from __future__ import annotations

import numpy as np
import pytest

from colourcore.colour.spaces import WHITE_D65, xyz_to_lab
from colourcore.errors import InputError
from colourcore.image.balance import GREY_CARD_LAB, balance_from_card
from colourcore.image.develop import open_photo
from colourcore.image.patches import measure_patch, read_patch
from tests.colourcore.image import pictures
from tests.colourcore.image.pictures import CARD, WOOD

TO_CAMERA = np.array(((0.8, 0.1, -0.05), (-0.2, 1.1, 0.1), (0.0, 0.1, 0.7)))
WOOD_XYZ = np.array([0.20, 0.19, 0.11])
CAMERA_WHITE = TO_CAMERA @ WHITE_D65


def bench_light(*, exposure: float = 0.8) -> np.ndarray:
    """What the sensor sees of an 18 % card and of the wood under D65."""
    light = np.empty((120, 200, 3))
    light[:, :100] = exposure * TO_CAMERA @ (0.18 * WHITE_D65)
    light[:, 100:] = exposure * TO_CAMERA @ WOOD_XYZ
    return light


def raw_file(**options: object) -> bytes:
    return pictures.dng(bench_light(), to_camera=TO_CAMERA, neutral=CAMERA_WHITE / CAMERA_WHITE.max(), **options)


def test_a_raw_file_is_linear_and_keeps_what_was_put_in() -> None:
    photo = open_photo(raw_file(), "card.dng")
    card, wood = measure_patch(photo, CARD), measure_patch(photo, WOOD)
    assert card.linear
    balanced = bench_light() / (CAMERA_WHITE / CAMERA_WHITE.max())
    assert wood.mean / card.mean == pytest.approx(balanced[60, 150] / balanced[60, 50], rel=2e-3)
    assert "camera raw: linear, colours by the matrix for this camera" in photo.notes
    assert photo.camera == "Plain Camera"


def test_the_wood_reads_as_it_is() -> None:
    photo = open_photo(raw_file(), "card.dng")
    balance = balance_from_card(measure_patch(photo, CARD), GREY_CARD_LAB)
    reading = read_patch(measure_patch(photo, WOOD), balance)
    assert reading.lab == pytest.approx(tuple(xyz_to_lab(WOOD_XYZ)), abs=0.1)


def test_a_raw_file_is_known_by_its_tags_whatever_it_is_called() -> None:
    assert open_photo(raw_file(), "card.tif").encoding.linear


@pytest.mark.parametrize("turn", [1, 3, 6, 8])
def test_a_turned_raw_file_stands_upright(turn: int) -> None:
    photo = open_photo(raw_file(turn=turn), "card.dng")
    assert (photo.width, photo.height) == ((200, 120) if turn < 5 else (120, 200))
    shown = photo.preview(200).astype(int)
    card = shown[{1: (60, 50), 3: (60, 150), 6: (50, 60), 8: (150, 60)}[turn]]
    assert np.ptp(card) <= 3  # grey


def test_an_overexposed_raw_file_is_clipped() -> None:
    light = bench_light(exposure=0.8)
    light[:, 100:] = 1.2
    statistics = measure_patch(open_photo(pictures.dng(light), "bright.dng"), WOOD)
    assert statistics.clipped_share == 1.0


@pytest.mark.parametrize(
    ("data", "name"),
    [
        (b"not a raw file at all" * 50, "x.nef"),
        (raw_file()[:3000], "x.dng"),
        (pictures.tiff(pictures.bench()), "x.arw"),
    ],
)
def test_a_raw_file_that_cannot_be_read_is_refused_in_a_sentence(data: bytes, name: str) -> None:
    with pytest.raises(InputError, match=f"^{name}: expected"):
        open_photo(data, name)


def test_a_raw_file_of_an_unknown_camera_is_refused() -> None:
    """No colour matrix in the file and none in LibRaw."""
    data = raw_file().replace(b"\xc6\x21"[::-1], b"\xc6\x0f"[::-1], 1)  # tag 50721 becomes one that says nothing
    with pytest.raises(InputError, match="xpected a raw file of a camera that LibRaw knows"):
        open_photo(data, "card.dng")
