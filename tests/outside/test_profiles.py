"""Colour profiles, against LittleCMS itself and against colour-science's published primaries."""

from __future__ import annotations

import io

import colour
import numpy as np
import pytest
from PIL import Image, ImageCms

from colourcore.colour.spaces import WHITE_D50, WHITE_D65, chromatic_adaptation, srgb_decode, xyz_to_lab
from colourcore.image.develop import open_photo
from colourcore.image.encoding import codes_to_light, nclx_encoding, profile_encoding, srgb_encoding
from tests.colourcore.image import pictures

LITTLE_CMS_STEP = 0.75  # Pillow hands out L*, a*, b* rounded to whole numbers

CODES = np.random.default_rng(5).integers(0, 256, (40, 50, 3), dtype=np.uint8)


def lab_through_little_cms(profile: bytes) -> np.ndarray:
    """What LittleCMS answers through Pillow: L*, a*, b* under D50, 8 bits each."""
    source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
    transform = ImageCms.buildTransform(source, ImageCms.createProfile("LAB"), "RGB", "LAB", renderingIntent=1)
    answer = np.asarray(ImageCms.applyTransform(Image.fromarray(CODES), transform))
    return np.stack([answer[..., 0] / 2.55, answer[..., 1].view(np.int8), answer[..., 2].view(np.int8)], axis=-1)


def our_lab(profile: bytes) -> np.ndarray:
    encoding = profile_encoding(profile, 8)
    xyz = codes_to_light(CODES, encoding).astype(float) @ encoding.to_xyz.T
    return xyz_to_lab(xyz @ chromatic_adaptation(WHITE_D65, WHITE_D50).T, WHITE_D50)


@pytest.mark.parametrize(
    "profile", [pictures.display_p3_profile(), pictures.lookup_profile()], ids=["a phone's", "a table of colours"]
)
def test_a_profile_means_what_little_cms_says_it_means(profile: bytes) -> None:
    inside = np.abs(lab_through_little_cms(profile)[..., 1:]).max(axis=-1) < 127  # Pillow's 8 bits end there
    gap = np.abs(our_lab(profile) - lab_through_little_cms(profile))[inside]
    assert inside.mean() > 0.9
    assert gap.max() < LITTLE_CMS_STEP


def test_a_phones_profile_agrees_with_the_published_primaries() -> None:
    """colour-science 0.4.7, RGB_COLOURSPACES['Display P3'] (SMPTE RP 431-2, EG 432-1, IEC 61966-2-1)."""
    published = colour.RGB_COLOURSPACES["Display P3"].matrix_RGB_to_XYZ
    assert profile_encoding(pictures.display_p3_profile(), 8).to_xyz == pytest.approx(published, abs=3e-4)
    assert nclx_encoding(12, 13, 8).to_xyz == pytest.approx(published, abs=3e-4)


def test_the_same_colour_reads_the_same_in_srgb_and_in_a_phones_profile() -> None:
    """The same XYZ coded twice by colour-science; 16 bits, so that rounding does not hide a difference."""
    xyz = np.array([0.20, 0.18, 0.11])
    readings = []
    for space, profile in (("sRGB", None), ("Display P3", pictures.display_p3_profile())):
        coded = colour.XYZ_to_RGB(xyz, space, apply_cctf_encoding=True)
        codes = np.round(65535 * np.asarray(coded)).astype(np.uint16)
        encoding = srgb_encoding(16) if profile is None else profile_encoding(profile, 16)
        readings.append(encoding.to_xyz @ codes_to_light(codes[None, None], encoding)[0, 0].astype(float))
    assert readings[0] == pytest.approx(xyz, abs=5e-5)
    assert readings[1] == pytest.approx(xyz, abs=5e-5)


def test_18_percent_grey_has_the_published_srgb_code() -> None:
    """IEC 61966-2-1: reflectance 0.18 is code 117.65 of 255."""
    table = srgb_encoding(8).tables[1].astype(float)
    assert np.interp(0.18, table, np.arange(256)) == pytest.approx(117.65, abs=0.01)


def test_a_16_bit_file_with_a_profile_keeps_its_16_bits() -> None:
    """Two shades that differ by a quarter of an 8-bit step stay apart."""
    picture = pictures.deep(pictures.bench())
    picture[:, 100:] += 64
    photo = open_photo(pictures.tiff(picture, iccprofile=pictures.display_p3_profile()), "deep.tif")
    light = codes_to_light(photo.codes(100, 0, 200, 120), photo.encoding)
    expected = srgb_decode((np.array(pictures.WOOD_CODES) * 257 + 64) / 65535)
    assert light[50, 50] == pytest.approx(expected, abs=1e-5)
