"""From the bytes of a picture file to its code values, whatever the format, and to what the file says of itself.

Nothing here knows what the codes mean; that is `encoding.py`. The size is told from the header, before decoding.
"""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from pathlib import PurePath
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from colourcore.errors import InputError
from colourcore.image.decoded import Decoded, check_size
from colourcore.image.raw import decode_raw

__all__ = ["decode"]

Codes = NDArray[np.unsignedinteger[Any]]

_KNOWN: Final = "JPEG, PNG, TIFF, HEIC, camera raw"
_NEXT_MARKER: Final = re.compile(rb"\xff[^\x00\xff\xd0-\xd7]")  # ITU-T T.81, annex B: a marker that is no filler
_SCAN, _END = 0xDA, 0xD9  # ITU-T T.81, table B.1
_RAW_SUFFIXES: Final = frozenset(
    {".arw", ".cr2", ".cr3", ".dng", ".nef", ".nrw", ".orf", ".pef", ".raf", ".raw", ".rw2", ".srw", ".x3f"}
)  # common practice, no source
_DNG_VERSION: Final = 50706  # the tag that makes a TIFF a DNG; DNG specification 1.4
_HEIF_BRANDS: Final = (b"heic", b"heix", b"hevc", b"hevx", b"heim", b"heis", b"mif1", b"msf1")  # ISO/IEC 23008-12


def _check_mode(mode: str) -> None:
    if mode == "CMYK":
        raise InputError("expected an RGB picture, got one in CMYK printing inks; save it again as RGB")


def _check_jpeg_is_whole(data: bytes) -> None:
    """Raise when the stream ends before its end marker; decoders fill what is missing with grey and say nothing."""
    position = 2
    while True:
        found = _NEXT_MARKER.search(data, position)
        if found is None:
            raise InputError("expected a whole JPEG picture, got a truncated file")
        marker = data[found.end() - 1]
        if marker == _END:
            return
        length = int.from_bytes(data[found.end() : found.end() + 2], "big")
        position = found.end() + length


def _decode_jpeg(data: bytes) -> Decoded:
    import imagecodecs  # kept out of the start: commands that read no photo do not pay for it
    from PIL.JpegImagePlugin import JpegImageFile

    header = JpegImageFile(io.BytesIO(data))
    check_size(*header.size)
    _check_mode(header.mode)
    _check_jpeg_is_whole(data)
    pixels = imagecodecs.jpeg8_decode(data)
    if pixels.shape[1::-1] != header.size:
        raise InputError(f"expected {header.size[0]} × {header.size[1]} pixels as its header says, got {pixels.shape}")
    notes = ("its gain map for high dynamic range screens is not used",) if b"hdrgm:" in data[:65536] else ()
    return Decoded(
        pixels=pixels,
        bits=8,
        profile=header.info.get("icc_profile") or b"",
        exif=header.info.get("exif") or b"",
        turn=_exif_turn(header.info.get("exif") or b""),
        notes=notes,
    )


def _decode_png(data: bytes) -> Decoded:
    import imagecodecs  # kept out of the start: commands that read no photo do not pay for it
    from PIL.PngImagePlugin import PngImageFile

    header = PngImageFile(io.BytesIO(data))
    check_size(*header.size)
    if header.is_animated:
        raise InputError("expected one picture, got an animated PNG")
    pixels = imagecodecs.png_decode(data)
    header.load()  # only now are chunks behind the pixels known
    stated_srgb = "srgb" in header.info or header.info.get("icc_profile")
    exif = header.info.get("exif") or b""
    return Decoded(
        pixels=pixels,
        bits=8 * pixels.dtype.itemsize,
        turn=_exif_turn(exif),
        profile=header.info.get("icc_profile") or b"",
        exif=exif,
        gamma=None if stated_srgb else header.info.get("gamma"),
    )


def _decode_tiff(data: bytes) -> Decoded:
    import tifffile  # kept out of the start: commands that read no TIFF do not pay for it

    with tifffile.TiffFile(io.BytesIO(data)) as file:
        page = file.pages[0]
        if _DNG_VERSION in page.tags:
            return decode_raw(data)
        check_size(page.imagewidth, page.imagelength)
        shapes = {other.shape for other in file.pages if not other.is_reduced}
        if len(file.pages) > 1 and sum(other.shape == page.shape for other in file.pages) > 1:
            raise InputError(f"expected one picture, got a TIFF with {len(file.pages)} pages")
        _check_mode("CMYK" if page.photometric == tifffile.PHOTOMETRIC.SEPARATED else "")
        if page.dtype not in (np.uint8, np.uint16):
            raise InputError(f"expected a TIFF with 8 or 16 bits a channel, got {page.dtype}")
        pixels = page.asarray()
        if page.planarconfig == tifffile.PLANARCONFIG.SEPARATE and pixels.ndim == 3:
            pixels = np.moveaxis(pixels, 0, -1)
        pixels = _rgb_from_tiff(page, pixels)
        tags = page.tags
        notes = (f"the first of {len(file.pages)} pictures in the file is read",) if len(shapes) > 1 else ()
        return Decoded(
            pixels=np.ascontiguousarray(pixels),
            bits=8 * pixels.dtype.itemsize,
            turn=int(tags[274].value) if 274 in tags and int(tags[274].value) in range(1, 9) else 1,
            profile=bytes(tags[34675].value) if 34675 in tags else b"",
            exif=data,
            notes=notes,
        )


def _rgb_from_tiff(page: Any, pixels: Codes) -> Codes:
    import tifffile  # kept out of the start: commands that read no TIFF do not pay for it

    kind = tifffile.PHOTOMETRIC
    if page.photometric == kind.PALETTE:
        raise InputError("expected a TIFF with RGB pixels, got one with a palette; save it again as RGB")
    if page.photometric == kind.MINISWHITE:
        return np.invert(pixels)
    if page.photometric not in (kind.RGB, kind.MINISBLACK, kind.YCBCR):
        raise InputError(f"expected a TIFF with RGB pixels, got {page.photometric.name}")
    return pixels


def _decode_heic(data: bytes) -> Decoded:
    import pillow_heif  # kept out of the start: commands that read no HEIC do not pay for it

    file = pillow_heif.open_heif(io.BytesIO(data), convert_hdr_to_8bit=False)
    check_size(*file.size)
    if len(file) > 1 and _is_sequence(data):
        raise InputError(f"expected one picture, got a sequence of {len(file)}")
    pixels = np.array(file)
    bits = int(file.info.get("bit_depth", 8))
    if pixels.dtype == np.uint16:  # delivered at the upper end of 16 bits
        pixels = pixels >> (16 - bits)
    nclx = file.info.get("nclx_profile")
    notes = [] if pixels.dtype == np.uint8 else [f"{bits} bits a channel"]
    if any("gainmap" in str(kind) for kind in file.info.get("aux", ())):
        notes.append("its gain map for high dynamic range screens is not used")
    return Decoded(
        pixels=pixels,
        bits=bits,
        profile=file.info.get("icc_profile") or b"",
        exif=file.info.get("exif") or b"",
        code_points=(int(nclx["color_primaries"]), int(nclx["transfer_characteristics"])) if nclx else None,
        notes=tuple(notes),
    )


def _is_sequence(data: bytes) -> bool:
    return data[8:12] in (b"msf1", b"hevc", b"hevx")


def _exif_turn(exif: bytes) -> int:
    from colourcore.image.exif import read_exif  # a file without EXIF does not pay for it

    return read_exif(exif).turn if exif else 1


def _decoder_for(data: bytes, name: str) -> Callable[[bytes], Decoded]:
    if data and PurePath(name).suffix.lower() in _RAW_SUFFIXES and data[:3] != b"\xff\xd8\xff":
        return decode_raw
    if data[:3] == b"\xff\xd8\xff":
        return _decode_jpeg
    if data[:8] == b"\x89PNG\r\n\x1a\n":
        return _decode_png
    if data[:4] in (b"II*\x00", b"MM\x00*", b"II+\x00", b"MM\x00+"):
        return _decode_tiff
    if data[4:8] == b"ftyp" and data[8:12] in _HEIF_BRANDS:
        return _decode_heic
    if not data:
        raise InputError(f"expected a picture ({_KNOWN}), got an empty file")
    if data[:6] in (b"GIF87a", b"GIF89a"):
        raise InputError(f"expected a photo ({_KNOWN}), got a GIF, which holds 256 colours at most")
    raise InputError(f"expected a picture ({_KNOWN}), got a file of another kind")


def decode(data: bytes, name: str = "") -> Decoded:
    """Return the code values of a picture file and what the file says of itself.

    Parameters
    ----------
    data
        The whole file.
    name
        The file's name; its ending tells camera raw from the TIFF that it looks like.

    Raises
    ------
    InputError
        For anything but one whole RGB or grey picture of a size that can be read; without the file's name.
    """
    decoder = _decoder_for(data, name)
    try:
        return decoder(data)
    except InputError:
        raise
    except MemoryError as error:
        raise InputError("expected a picture that fits into memory") from error
    except Exception as error:  # a foreign decoder may raise anything at broken bytes
        raise InputError(
            f"expected a whole picture, got a damaged or truncated file ({type(error).__name__})"
        ) from error
