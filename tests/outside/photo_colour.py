"""Reference colours for the photo tests: LittleCMS through Pillow, and CIEDE2000 through scikit-image."""

import io
import struct

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


def display_p3() -> bytes:
    """A matrix profile (ICC.1:2010) with the primaries of Display P3 (SMPTE EG 432-1), D65 white and a curve close to its own."""
    primaries = [(0.680, 0.320), (0.265, 0.690), (0.150, 0.060)]
    gamma = 2.2
    white = np.array([0.3127 / 0.3290, 1, (1 - 0.3127 - 0.3290) / 0.3290])
    columns = np.array([[x / y, 1, (1 - x - y) / y] for x, y in primaries]).T
    to_xyz = columns * np.linalg.solve(columns, white)
    # Bradford adaptation from D65 to D50 (ICC.1:2010, annex E).
    bradford = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])
    d50 = np.array([0.9642, 1, 0.8249])
    gain = np.diag((bradford @ d50) / (bradford @ white))
    colorants = np.linalg.inv(bradford) @ gain @ bradford @ to_xyz

    def fixed(value):
        return struct.pack(">i", round(value * 65536))

    name = b"Made for a test"
    tags = {
        b"desc": b"desc\0\0\0\0" + struct.pack(">I", len(name) + 1) + name + b"\0" * 79,
        b"cprt": b"text\0\0\0\0none\0",
        b"wtpt": b"XYZ \0\0\0\0" + b"".join(map(fixed, d50)),
    }
    for channel, tag in enumerate((b"r", b"g", b"b")):
        tags[tag + b"XYZ"] = b"XYZ \0\0\0\0" + b"".join(map(fixed, colorants[:, channel]))
        tags[tag + b"TRC"] = b"curv\0\0\0\0" + struct.pack(">IH", 1, round(gamma * 256))
    table, data = b"", b""
    start = 128 + 4 + 12 * len(tags)
    for tag, content in tags.items():
        data += b"\0" * (-len(data) % 4)
        table += tag + struct.pack(">II", start + len(data), len(content))
        data += content
    size = start + len(data)
    header = struct.pack(">I4sI4s4s4s", size, b"none", 0x02100000, b"mntr", b"RGB ", b"XYZ ")
    header += struct.pack(">6H", 2024, 1, 1, 0, 0, 0) + b"acsp" + b"\0" * 28 + b"".join(map(fixed, d50))
    return header.ljust(128, b"\0") + struct.pack(">I", len(tags)) + table + data
