"""Fixtures of the outside checks: where the built program is, and how it is asked."""

import json
import os
import subprocess
from pathlib import Path

import pytest

REPOSITORY = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="session")
def target():
    """The folder that cargo builds into."""
    return Path(os.environ.get("MAHLSTICK_TARGET", REPOSITORY / "target"))


@pytest.fixture(scope="session")
def mahlstick(target):
    """Runs the command; fails with its message when the command fails."""

    def run(*arguments):
        done = subprocess.run([target / "release/mahlstick", *map(str, arguments)], capture_output=True, text=True)
        assert done.returncode == 0, done.stderr
        return done.stdout

    return run


@pytest.fixture(scope="session")
def marks(mahlstick):
    """The marks of a plan as `mahlstick marks --json` tells them."""
    return lambda *arguments: json.loads(mahlstick("marks", *arguments, "--json"))
