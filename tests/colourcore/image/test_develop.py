"""Every way in which a photo comes, and every way in which it does not."""

from __future__ import annotations

import io
from datetime import datetime

import numpy as np
import pytest
from PIL import Image, ImageOps

from colourcore.colour.spaces import srgb_decode
from colourcore.errors import InputError
from colourcore.image.decoded import PIXEL_LIMIT
from colourcore.image.develop import open_photo, turned, turned_back
from colourcore.image.encoding import codes_to_light
from colourcore.image.patches import measure_patch
from tests.colourcore.image import pictures
from tests.colourcore.image.pictures import CARD, WOOD, bench, deep

WOOD_LIGHT = srgb_decode(np.array(pictures.WOOD_CODES) / 255)

ONE_CODE = 0.03  # of the light at code 70: what a JPEG or HEIC loses by turning RGB into luma and chroma

WAYS_IN = {
    "a JPEG": pictures.jpeg(bench()),
    "a progressive JPEG": pictures.jpeg(bench(), progressive=True),
    "a JPEG without chroma of its own": pictures.jpeg(bench(), keep_rgb=True),
    "a PNG": pictures.png(bench()),
    "a PNG with 16 bits": pictures.png(deep(bench())),
    "a PNG with transparency": pictures.saved(Image.fromarray(bench()).convert("RGBA"), "PNG"),
    "a PNG with a palette": pictures.saved(Image.fromarray(bench()).quantize(8), "PNG"),
    "a TIFF": pictures.tiff(bench()),
    "a TIFF with 16 bits": pictures.tiff(deep(bench())),
    "a compressed TIFF": pictures.tiff(deep(bench()), compression="lzw", predictor=True),
    "a TIFF in planes": pictures.tiff(np.moveaxis(deep(bench()), -1, 0), planarconfig="separate"),
    "a HEIC": pictures.heic(bench()),
    "a HEIC with 10 bits": pictures.heic(deep(bench())),
}


@pytest.mark.parametrize("way", WAYS_IN)
def test_the_same_picture_has_the_same_light_whatever_the_file(way: str) -> None:
    photo = open_photo(WAYS_IN[way], "bench")
    assert (photo.width, photo.height) == (200, 120)
    assert measure_patch(photo, WOOD).mean == pytest.approx(WOOD_LIGHT, rel=ONE_CODE)


@pytest.mark.parametrize("turn", range(1, 9))
@pytest.mark.parametrize("kind", ["PNG", "TIFF"])
def test_a_turned_photo_is_seen_as_other_programs_show_it(turn: int, kind: str) -> None:
    """Against Pillow's own ImageOps.exif_transpose."""
    picture = np.random.default_rng(turn).integers(0, 255, (40, 60, 3), dtype=np.uint8)
    exif = Image.Exif()
    exif[274] = turn
    upright = np.asarray(ImageOps.exif_transpose(Image.open(io.BytesIO(pictures.saved(picture, "PNG", exif=exif)))))
    data = (
        pictures.saved(picture, "PNG", exif=exif)
        if kind == "PNG"
        else pictures.tiff(deep(picture), extratags=[(274, "H", 1, turn, True)])
    )
    photo = open_photo(data, "turned")
    assert (photo.height, photo.width) == upright.shape[:2]
    part = turned(photo.codes(7, 3, 27, 33), photo.turn)
    assert np.array_equal(part if kind == "PNG" else part // 257, upright[3:33, 7:27])
    assert np.array_equal(photo.preview(60), upright)


@pytest.mark.parametrize("turn", range(1, 9))
def test_turning_back_undoes_turning(turn: int) -> None:
    picture = np.arange(6).reshape(2, 3)
    assert np.array_equal(turned_back(turned(picture, turn), turn), picture)


def test_a_heic_that_was_turned_already_is_not_turned_again() -> None:
    exif = Image.Exif()
    exif[274] = 6
    photo = open_photo(pictures.heic(bench(), exif=exif.tobytes()), "phone.heic")
    assert (photo.width, photo.height) == (120, 200)
    shown = photo.preview(200)
    upright = np.rot90(bench(), -1)
    assert np.abs(shown.astype(int) - upright).max() <= 2


def test_what_the_camera_wrote_is_kept() -> None:
    exif = Image.Exif()
    exif[271], exif[272] = "Plain Camera Works", "Plain Camera Works 7"
    exif.get_ifd(34665).update({36867: "2024:03:05 14:20:11", 33434: 0.008, 33437: 5.6, 34855: 200})
    photo = open_photo(pictures.jpeg(bench(), exif=exif), "camera.jpg")
    assert photo.taken == datetime(2024, 3, 5, 14, 20, 11)
    assert photo.camera == "Plain Camera Works 7"
    assert photo.exposure.seconds == pytest.approx(1 / 125, rel=1e-3)
    assert (photo.exposure.f_number, photo.exposure.sensitivity) == (pytest.approx(5.6), 200)


def test_a_photo_stripped_by_a_messenger_says_so() -> None:
    notes = open_photo(pictures.jpeg(bench()), "message.jpg").notes
    assert "no colour profile: taken as sRGB" in notes
    assert "no camera notes: time and exposure unknown" in notes


def test_a_phones_profile_is_named_and_used() -> None:
    photo = open_photo(pictures.jpeg(bench(), icc_profile=pictures.display_p3_profile()), "phone.jpg")
    assert "colour profile Display P3" in photo.notes
    assert photo.encoding.to_xyz[0, 0] == pytest.approx(0.4866, abs=1e-3)  # colour-science, Display P3


def test_a_heic_that_states_its_primaries_by_code_points_is_believed() -> None:
    data = pictures.heic(bench(), color_primaries=12, transfer_characteristics=13)
    photo = open_photo(data, "phone.heic")
    assert photo.encoding.to_xyz[0, 0] == pytest.approx(0.4866, abs=1e-3)  # ITU-T H.273, code point 12


def test_a_png_that_says_it_is_linear_is_believed() -> None:
    info_chunk = (100000).to_bytes(4, "big")
    data = _with_chunk(pictures.png(bench(card=51)), b"gAMA", info_chunk)
    assert measure_patch(open_photo(data, "linear.png"), CARD).mean == pytest.approx([0.2] * 3, abs=1e-6)


def test_a_black_and_white_photo_is_told_from_a_colour_one() -> None:
    grey = Image.fromarray(bench()[..., 0])
    for data in (pictures.saved(grey, "PNG"), pictures.saved(grey, "JPEG"), pictures.saved(grey.convert("LA"), "PNG")):
        photo = open_photo(data, "grey")
        assert photo.colourless
        assert "black and white: lightness only" in photo.notes
    assert not open_photo(pictures.png(bench()), "colour").colourless


def test_transparent_pixels_do_not_count() -> None:
    picture = np.dstack([bench(), np.full((120, 200), 255, np.uint8)])
    picture[5:60, 105:195, :3], picture[5:60, 105:195, 3] = 255, 0
    statistics = measure_patch(open_photo(pictures.png(picture), "cut-out.png"), WOOD)
    assert statistics.pixels == 90 * 55
    assert statistics.mean == pytest.approx(WOOD_LIGHT, abs=1e-6)


def test_the_picture_on_screen_is_reduced_and_upright() -> None:
    small = open_photo(pictures.png(bench()), "bench.png").preview(50)
    assert small.shape == (30, 50, 3)
    assert small[15, 10].tolist() == [118, 118, 118]


def _with_chunk(data: bytes, name: bytes, content: bytes) -> bytes:
    """A PNG with one more chunk behind its header."""
    import zlib

    chunk = len(content).to_bytes(4, "big") + name + content + zlib.crc32(name + content).to_bytes(4, "big")
    return data[:33] + chunk + data[33:]


def _claiming(data: bytes, width: int, height: int) -> bytes:
    """A PNG whose header claims another size."""
    import zlib

    header = data[12:16] + width.to_bytes(4, "big") + height.to_bytes(4, "big") + data[24:29]
    return data[:12] + header + zlib.crc32(header).to_bytes(4, "big") + data[33:]


NOISY_JPEG = pictures.jpeg(bench(noise=20))
PROFILE = pictures.display_p3_profile()

NO_PHOTO = {
    "an empty file": (b"", "empty"),
    "a text": (b"photo,role,x,y,width,height\n", "another kind"),
    "a GIF": (pictures.saved(bench(), "GIF"), "GIF"),
    "half a JPEG": (NOISY_JPEG[: len(NOISY_JPEG) // 2], "truncated"),
    "a JPEG that lacks its last bytes": (NOISY_JPEG[:-2], "truncated"),
    "three bytes of a JPEG": (b"\xff\xd8\xff", "damaged"),
    "half a PNG": (pictures.png(bench(noise=20))[:9000], "damaged"),
    "half a TIFF": (pictures.tiff(deep(bench()))[:9000], "damaged"),
    "half a HEIC": (pictures.heic(bench(noise=20))[:9000], "damaged"),
    "a picture of one pixel": (pictures.png(bench()[:1, :1]), "1 × 1"),
    "an animated PNG": (pictures.png(bench(), save_all=True, append_images=[Image.fromarray(bench(20))]), "animated"),
    "a TIFF of two pages": (pictures.tiff(np.stack([bench(), bench()])), "2 pages"),
    "a JPEG in printing inks": (pictures.saved(Image.fromarray(bench()).convert("CMYK"), "JPEG"), "CMYK"),
    "a TIFF in printing inks": (pictures.saved(Image.fromarray(bench()).convert("CMYK"), "TIFF"), "CMYK"),
    "a TIFF of floats": (pictures.tiff(bench().astype(np.float32)), "8 or 16 bits"),
    "a TIFF with a palette": (pictures.saved(Image.fromarray(bench()).quantize(8), "TIFF"), "palette"),
    "a broken profile": (pictures.jpeg(bench(), icc_profile=PROFILE[:150] + b"\0" * 400), "broken"),
    "a profile that is none": (pictures.jpeg(bench(), icc_profile=b"x" * 500), "broken"),
    "a grey profile": (pictures.jpeg(bench(), icc_profile=PROFILE[:16] + b"GRAY" + PROFILE[20:]), "'GRAY'"),
    "a profile for inks": (pictures.jpeg(bench(), icc_profile=PROFILE[:16] + b"CMYK" + PROFILE[20:]), "'CMYK'"),
    "a picture for bright screens": (pictures.heic(bench(), transfer_characteristics=16), "high dynamic range"),
    "a decompression bomb": (_claiming(pictures.png(bench()), 60000, 60000), "250 megapixels"),
}


@pytest.mark.parametrize("case", NO_PHOTO)
def test_what_is_no_usable_photo_is_refused_in_one_sentence(case: str) -> None:
    data, said = NO_PHOTO[case]
    with pytest.raises(InputError, match=r"^photo\.x: expected ") as caught:
        open_photo(data, "photo.x")
    assert said in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_bomb_is_told_before_it_is_decoded(monkeypatch: pytest.MonkeyPatch) -> None:
    import imagecodecs

    monkeypatch.setattr(imagecodecs, "png_decode", lambda _: pytest.fail("decoded"))
    with pytest.raises(InputError, match="megapixels"):
        open_photo(_claiming(pictures.png(bench()), 60000, 60000), "bomb.png")


def test_a_photo_of_200_megapixels_is_within_bounds() -> None:
    assert 16320 * 12240 < PIXEL_LIMIT  # the size that such phones write; from memory


@pytest.mark.parametrize("seed", range(20))
@pytest.mark.parametrize("kind", ["jpeg", "png", "tiff", "heic"])
def test_a_file_with_broken_bytes_reads_or_is_refused_but_never_crashes(kind: str, seed: int) -> None:
    draw = np.random.default_rng(seed)
    data = bytearray(getattr(pictures, kind)(bench(noise=5)))
    for place in draw.integers(0, len(data), 30):
        data[place] = draw.integers(0, 256)
    told = "read"
    try:
        photo = open_photo(bytes(data), "broken")
        assert np.isfinite(codes_to_light(photo.codes(0, 0, 10, 10), photo.encoding)).all()
    except InputError as error:
        told = str(error)
    assert told.startswith(("read", "broken: expected"))
