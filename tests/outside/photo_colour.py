"""Reference colours for the photo tests: LittleCMS through Pillow, and CIEDE2000 through scikit-image."""

import io

import numpy as np
from PIL import Image, ImageCms, ImageOps
from skimage.color import deltaE_ciede2000, rgb2lab

SRGB = ImageCms.createProfile("sRGB")


def delta_e(ours: np.ndarray, expected: np.ndarray) -> np.ndarray:
    """CIEDE2000 of each pixel."""
    return deltaE_ciede2000(rgb2lab(ours), rgb2lab(expected))


def upright_by_littlecms(file, profile: bytes | None = None) -> np.ndarray:
    """The upright sRGB picture by Pillow and LittleCMS, with the file's own profile or this one."""
    with Image.open(file) as picture:
        picture.load()
        profile = profile or picture.info.get("icc_profile")
        upright = ImageOps.exif_transpose(picture)
    if profile is None:
        return np.asarray(upright.convert("RGB"))
    source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
    return np.asarray(ImageCms.profileToProfile(upright, source, SRGB, outputMode="RGB"))
