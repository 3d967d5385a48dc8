"""Camera raw through LibRaw: linear, nothing brightened, colours by the matrix that belongs to the camera."""

from __future__ import annotations

import io
from typing import Any, Final

import numpy as np

from colourcore.errors import InputError
from colourcore.image.decoded import Decoded, check_size

__all__ = ["decode_raw"]

_BITS: Final = 16
_TURNS: Final = {0: 1, 3: 3, 5: 8, 6: 6}  # LibRaw's flip, to turns as EXIF counts them
_UNKNOWN: Final = (
    "expected a raw file of a camera that LibRaw knows, got one without a colour matrix; save it as DNG or TIFF"
)


def decode_raw(data: bytes) -> Decoded:
    """Return the light that a camera's raw file holds, in the camera's own channels, balanced as the camera was set.

    Parameters
    ----------
    data
        The whole file.

    Raises
    ------
    InputError
        When LibRaw does not know the file or its camera, or the file is broken.
    """
    import rawpy  # kept out of the start: most runs meet no raw file

    try:
        with rawpy.imread(io.BytesIO(data)) as raw:
            check_size(raw.sizes.width, raw.sizes.height)
            matrix = np.asarray(raw.color_matrix, dtype=np.float64)[:, :3]
            if raw.num_colors != 3 or not np.any(matrix):
                raise InputError(_UNKNOWN)
            turn = _TURNS.get(raw.sizes.flip, 1)
            pixels = _linear(raw)
    except rawpy.LibRawFileUnsupportedError as error:
        raise InputError("expected a camera raw file that LibRaw can read, got one it does not know") from error
    except (rawpy.LibRawError, rawpy.NotSupportedError) as error:
        raise InputError("expected a whole camera raw file, got a damaged or truncated one") from error
    return Decoded(
        pixels=pixels,
        bits=_BITS,
        turn=turn,
        exif=data,
        to_srgb=matrix,
        notes=(f"{_BITS} bits a channel",),
    )


def _linear(raw: Any) -> np.ndarray[Any, np.dtype[np.uint16]]:
    import rawpy  # see above

    pixels = raw.postprocess(
        gamma=(1, 1),
        no_auto_bright=True,
        use_camera_wb=True,
        output_bps=_BITS,
        output_color=rawpy.ColorSpace.raw,
        demosaic_algorithm=rawpy.DemosaicAlgorithm.LINEAR,
        highlight_mode=rawpy.HighlightMode.Clip,
        user_flip=0,
    )
    return np.ascontiguousarray(pixels, dtype=np.uint16)
