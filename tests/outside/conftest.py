"""What the outside checks share: the photo crate's probe, run with its time and memory measured."""

import json
import os
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

sys.path.insert(0, str(Path(__file__).parent))

from command import mahlstick, marks, target  # noqa: E402, F401 (fixtures)

ROOT = Path(__file__).resolve().parents[2]


@dataclass
class Probed:
    """What came of one run of the probe."""

    status: int
    facts: dict | None
    message: str
    seconds: float
    peak_mib: float


class Probe:
    """The example `photo_probe` of the photo crate."""

    def __init__(self, program: Path, folder: Path):
        self.program = program
        self.folder = folder

    def run(self, file: Path, *arguments) -> Probed:
        command = [str(self.program), str(file), *map(str, arguments)]
        with tempfile.TemporaryFile() as out, tempfile.TemporaryFile() as err:
            started = time.monotonic()
            child = subprocess.Popen(command, stdout=out, stderr=err)
            _, status, usage = os.wait4(child.pid, 0)
            seconds = time.monotonic() - started
            child.returncode = os.waitstatus_to_exitcode(status)
            out.seek(0)
            err.seek(0)
            printed, message = out.read().decode(), err.read().decode()
        return Probed(
            status=child.returncode,
            facts=json.loads(printed) if printed else None,
            message=message.strip(),
            seconds=seconds,
            peak_mib=usage.ru_maxrss / 1024,
        )

    def facts(self, file: Path) -> dict:
        probed = self.run(file)
        assert probed.status == 0, probed.message
        return probed.facts

    def upright(self, file: Path) -> np.ndarray:
        """The upright picture as the crate gives it."""
        return self._picture(file, "--upright")

    def preview(self, file: Path, side: int) -> np.ndarray:
        return self._picture(file, "--preview", side)

    def embeddable(self, file: Path) -> bytes | None:
        return self._file(file, "--embeddable")

    def as_jpeg(self, file: Path, quality: int) -> bytes:
        return self._file(file, "--as-jpeg", quality)

    def _picture(self, file: Path, *arguments) -> np.ndarray:
        self._file(file, *arguments)
        with Image.open(self.folder / "out") as picture:
            return np.asarray(picture)

    def _file(self, file: Path, *arguments) -> bytes | None:
        out = self.folder / "out"
        out.unlink(missing_ok=True)
        probed = self.run(file, *arguments, out)
        assert probed.status == 0, probed.message
        return out.read_bytes() if out.exists() else None


@pytest.fixture
def probe(tmp_path: Path) -> Probe:
    target = Path(os.environ.get("MAHLSTICK_TARGET", ROOT / "target"))
    program = target / "release" / "examples" / "photo_probe"
    assert program.exists(), f"{program} is missing: cargo build --release -p photo --example photo_probe"
    return Probe(program, tmp_path)
