"""A large photo gives the same preview however its JPEG is coded: Pillow's libjpeg writes the same coefficients each time."""

import numpy as np
import pytest
from PIL import Image

import fetch

# As plain as a camera writes it, which is decoded in two halves; with codes made for the picture; and in two ways that are decoded
# as a whole, which the others are held against.
CODINGS = {"plain": {}, "fitted": {"optimize": True}, "restarts": {"restart_marker_rows": 3}, "progressive": {"progressive": True}}


@pytest.mark.parametrize("sampling", ["4:4:4", "4:2:2", "4:2:0", "grey"])
@pytest.mark.parametrize("name", ["china.jpg", "flower.jpg"])
def test_a_large_photo_is_the_same_however_it_is_coded(probe, tmp_path, name, sampling):
    with Image.open(fetch.scikit_learn_pictures() / name) as photo:
        large = photo.resize((2731, 1823), Image.Resampling.BICUBIC)
    how = {"quality": 88} if sampling == "grey" else {"quality": 88, "subsampling": sampling}
    previews = {}
    for coding, options in CODINGS.items():
        file, preview = tmp_path / f"{coding}.jpg", tmp_path / f"{coding}.ppm"
        (large.convert("L") if sampling == "grey" else large).save(file, **how, **options)
        probed = probe.run(file, "--preview", 640, preview)
        assert probed.status == 0, probed.message
        with Image.open(preview) as shown:
            previews[coding] = np.asarray(shown)
    assert previews["plain"].shape == (427, 640, 3)
    for coding, preview in previews.items():
        assert np.array_equal(preview, previews["progressive"]), coding


@pytest.mark.parametrize("part", [0.1, 0.45, 0.55, 0.9, 0.999])
def test_a_large_photo_with_its_end_stitched_on_after_a_cut_is_refused(probe, tmp_path, part):
    with Image.open(fetch.scikit_learn_pictures() / "china.jpg") as photo:
        photo.resize((2731, 1823), Image.Resampling.BICUBIC).save(tmp_path / "whole.jpg", quality=88)
    whole = (tmp_path / "whole.jpg").read_bytes()
    (tmp_path / "cut.jpg").write_bytes(whole[: int(len(whole) * part)] + b"\xff\xd9")
    probed = probe.run(tmp_path / "cut.jpg", "--preview", 640, tmp_path / "out.ppm")
    assert probed.status == 1 and "damaged" in probed.message, probed
    assert not (tmp_path / "out.ppm").exists()
