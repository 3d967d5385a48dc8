"""How the figures came about, in words for the last page of a report."""

from __future__ import annotations

from typing import Final

__all__ = ["ERRORS_EXPLAINED", "METHOD"]

ERRORS_EXPLAINED: Final = (
    "CIELAB under D65 for the 2° observer. ± is one standard error of the patch’s mean; what all patches of a photo "
    "share, through its card and its light, is not in it and cancels between two of them. "
    "Spread is the standard deviation of L* over the face of the wood."
)

METHOD: Final = (
    (
        "Reading.",
        "Each photo is turned upright and brought to linear light by its own colour profile (sRGB where it has none). "
        "White and exposure come from the card, in linear light and in a cone-like space (Bradford), so that the card "
        "lands on its stated colour. A reading is the mean over the outlined pixels in linear XYZ, as an instrument’s "
        "aperture would see it; its error comes from resampling blocks, because neighbouring pixels depend on each "
        "other.",
    ),
    (
        "What one grey card cannot see.",
        "A camera’s contrast curve can shift lightness by several L* away from the card. A target photographed in the "
        "same set-up as the samples shares that shift, so the hours hardly suffer; a target typed in as numbers does "
        "not share it.",
    ),
    (
        "Hours.",
        "Colour is taken to move from raw wood along a path that levels off. Four families of such curves are weighed "
        "against the readings of each board and zone on their own, with weak priors, each reading allowed to be a bad "
        "one; no single curve is chosen. What stands here is the whole distribution that remains: its middle, its "
        "interval and its odds. No law is known that carries the hours over to another charge, strength or "
        "temperature: they hold for the samples’ own.",
    ),
    (
        "Colour differences.",
        "CIEDE2000 (ΔE00), in classes used on wood: under 0.2 not visible, to 2 slight, to 3 small, to 6 medium, "
        "to 12 large, beyond that another colour. It is made for differences under about 5.",
    ),
)
"""Pairs of bold first words and text."""
