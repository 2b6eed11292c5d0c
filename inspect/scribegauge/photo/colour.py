"""Any colour space that a photo comes in, to 8-bit sRGB on white."""

import io

import numpy as np
from PIL import Image, ImageCms


def to_srgb(image: Image.Image) -> Image.Image:
    """Convert to RGB; an embedded profile is followed unless it is sRGB's own.

    Parameters
    ----------
    image : PIL.Image.Image
        Any mode that Pillow converts to RGB.

    Returns
    -------
    PIL.Image.Image
        Mode ``RGB``. A profile that is broken or of another kind of colour than the pixels is
        passed over: it changes tones, never places.
    """
    profile = image.info.get("icc_profile")
    flat = _on_white(image)
    transform = _transform(profile, flat.mode) if profile else None
    if transform is not None:
        return ImageCms.applyTransform(flat, transform) or flat
    return flat if flat.mode == "RGB" else flat.convert("RGB")


def _on_white(image: Image.Image) -> Image.Image:
    """Lay transparent parts on white and leave only modes that a profile can speak of."""
    if not image.has_transparency_data:
        return image if image.mode in {"RGB", "L", "CMYK"} else image.convert("RGB")
    layered = image.convert("RGBA")
    if layered.getchannel("A").getextrema() == (255, 255):
        return layered.convert("RGB")
    white = Image.new("RGBA", layered.size, "white")
    return Image.alpha_composite(white, layered).convert("RGB")


def _transform(profile: bytes, mode: str) -> ImageCms.ImageCmsTransform | None:
    """Build the way from a profile to sRGB; None when there is none or none is needed."""
    try:
        source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        srgb = ImageCms.createProfile("sRGB")
        transform = ImageCms.buildTransform(source, srgb, mode, "RGB")
        return None if mode == "RGB" and _changes_nothing(transform) else transform
    except (ImageCms.PyCMSError, OSError, ValueError, TypeError):
        return None


def _changes_nothing(transform: ImageCms.ImageCmsTransform) -> bool:
    """Try a transform on a few colours: a whole photo takes 0.3 s, this a millisecond."""
    steps = np.arange(0, 256, 51, dtype=np.uint8)
    cube = np.stack(np.meshgrid(steps, steps, steps), axis=-1).reshape(-1, 6, 3)
    after = np.asarray(ImageCms.applyTransform(Image.fromarray(cube), transform))
    return bool(np.abs(after.astype(int) - cube).max() <= 2)  # noqa: PLR2004 - two levels: rounding
