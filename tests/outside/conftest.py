"""What the outside checks share: the photo crate's probe, run with its time and memory measured."""

import json
import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

sys.path.insert(0, str(Path(__file__).parent))

from command import mahlstick, marks, target  # noqa: E402, F401 (fixtures)

ROOT = Path(__file__).resolve().parents[2]

# A process begins with its parent's peak of memory on record, and pytest's is large: so this small one starts the probe.
LAUNCHER = """
import json, os, sys
status, usage = os.wait4(os.posix_spawn(sys.argv[1], sys.argv[1:], os.environ), 0)[1:]
print(json.dumps([os.waitstatus_to_exitcode(status), usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024]))
"""


@dataclass
class Probed:
    """What came of one run of the probe."""

    status: int
    facts: dict | None
    message: str
    cpu_seconds: float
    peak_mib: float


class Probe:
    """The example `photo_probe` of the photo crate."""

    def __init__(self, program: Path, folder: Path):
        self.program = program
        self.folder = folder

    def run(self, file: Path, *arguments) -> Probed:
        command = [sys.executable, "-S", "-c", LAUNCHER, str(self.program), str(file), *map(str, arguments)]
        ended = subprocess.run(command, capture_output=True, text=True, check=True)
        *facts, usage = ended.stdout.splitlines()
        status, cpu_seconds, peak_mib = json.loads(usage)
        return Probed(status, json.loads(facts[0]) if facts else None, ended.stderr.strip(), cpu_seconds, peak_mib)

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
