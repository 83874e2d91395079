"""Fetches the packages whose real pictures the tests use, once, into `.cache/outside` at the root of the repository.

Nothing fetched is kept in the repository. Packages come by name and pinned version through their ordinary clients.
"""

import subprocess
import sys
import tarfile
import tempfile
import zipfile
from pathlib import Path

CACHE = Path(__file__).resolve().parents[2] / ".cache" / "outside"


def pillow_pictures() -> Path:
    """Pillow's own test pictures (MIT-CMU), only in its source package."""
    return _unpacked("pillow-11.3.0", _pip_source) / "pillow-11.3.0" / "Tests" / "images"


def piexif_pictures() -> Path:
    """Camera files from piexif's tests (MIT)."""
    return _unpacked("piexif-1.1.3", _pip_source) / "piexif-1.1.3" / "tests" / "images"


def scikit_learn_pictures() -> Path:
    """Two photographs (CC BY 2.0, authors named in the package)."""
    return _unpacked("scikit-learn-1.9.1", _pip_wheel) / "sklearn" / "datasets" / "images"


def exif_parser_pictures() -> Path:
    """Camera files from exif-parser's tests (MIT)."""
    return _unpacked("exif-parser-0.1.12", _npm) / "package" / "test"


def scikit_image_pictures() -> Path:
    """Photographs in the installed scikit-image (public domain and CC0, see its README)."""
    import skimage

    return Path(skimage.__file__).parent / "data"


def profiles() -> Path:
    """Colour profiles of real presses and wide spaces, from Debian's package (unpacked, not installed)."""
    return _debian("libgs-common") / "usr" / "share" / "color" / "icc" / "ghostscript"


def opencv_pictures() -> Path:
    """Chessboards with their published camera, and pictures of flat things (Apache-2.0 and BSD-3), from Debian's opencv-doc."""
    return _debian("opencv-doc") / "usr" / "share" / "doc" / "opencv-doc" / "examples" / "data"


def _debian(name: str) -> Path:
    """The content of a Debian package, unpacked and not installed."""
    folder = CACHE / name
    if not folder.exists():
        CACHE.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(dir=CACHE) as work:
            subprocess.run(["apt-get", "download", "--quiet", name], cwd=work, check=True, capture_output=True)
            (package,) = Path(work).glob("*.deb")
            subprocess.run(["dpkg", "-x", str(package), f"{work}/content"], check=True)
            _placed(Path(work) / "content", folder)
    return folder


def _unpacked(package: str, download) -> Path:
    """The folder with the package's content, which appears whole or not at all."""
    folder = CACHE / package
    if folder.exists():
        return folder
    CACHE.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=CACHE) as work:
        name, version = package.rsplit("-", 1)
        download(name, version, work)
        (archive,) = Path(work).iterdir()
        content = Path(work) / "content"
        if archive.suffix in {".whl", ".zip"}:
            zipfile.ZipFile(archive).extractall(content)
        else:
            tarfile.open(archive).extractall(content, filter="data")
        _placed(content, folder)
    return folder


def _placed(content: Path, folder: Path) -> None:
    """Puts the content in its place; another worker may have been first with the same."""
    try:
        content.rename(folder)
    except OSError:
        if not folder.exists():
            raise


def _pip_source(name: str, version: str, folder: str) -> None:
    _pip(f"{name}=={version}", folder, "--no-binary", name)


def _pip_wheel(name: str, version: str, folder: str) -> None:
    _pip(f"{name}=={version}", folder, "--only-binary", name)


def _pip(requirement: str, folder: str, *choice: str) -> None:
    command = [sys.executable, "-m", "pip", "download", "--quiet", "--no-deps", *choice, "--dest", folder, requirement]
    subprocess.run(command, check=True)


def _npm(name: str, version: str, folder: str) -> None:
    subprocess.run(["npm", "pack", "--silent", f"{name}@{version}"], cwd=folder, check=True, stdout=subprocess.DEVNULL)
