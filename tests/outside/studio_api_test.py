"""The studio's server asked by schemathesis, after its own OpenAPI document (OpenAPI Specification 3.1), and its packet
beside the command's."""

import json
import os
import shutil
import subprocess
import sys
import urllib.request

import pytest

from conftest import ROOT
from running import Running

CAST = ROOT / "demo/harbour-pilot.jpg"
# Enough to reach every kind of edit; schemathesis also sends what breaks the schema.
EXAMPLES = 40


@pytest.fixture
def studio(target, tmp_path):
    """A studio on a folder of its own: its address and the folder."""
    folder = tmp_path / "Paintings"
    running = Running(target / "release/mahlstick", folder)
    try:
        yield running.address, folder
    finally:
        running.stop()


def ask(address, body=None, method=None):
    request = urllib.request.Request(address, body, {"content-type": "application/json"}, method=method)
    with urllib.request.urlopen(request, timeout=30) as answer:
        return answer.read()


def test_the_server_answers_as_it_says_whatever_is_asked(studio, tmp_path):
    address, _ = studio
    document = json.loads(ask(f"{address}/openapi.json"))
    made = json.loads(ask(f"{address}/api/paintings", b'{"title":"Study","size":"12 x 16 in"}'))
    revision = json.loads(ask(f"{address}/api/paintings/{made['id']}"))["revision"]
    ask(f"{address}/api/paintings/{made['id']}/photo?revision={revision}", CAST.read_bytes())
    # Ids that are there, so that more than "no such painting" is reached. The events never end.
    for path, requests in list(document["paths"].items()):
        if path.endswith("/events"):
            del document["paths"][path]
            continue
        for request in requests.values():
            for parameter in request.get("parameters", []):
                if parameter["name"] == "id":
                    # The painting stays on the shelf, so that all else finds it.
                    ids = ["none"] if path.endswith("/take-down") else [made["id"], "none"]
                    parameter["schema"] = {"enum": ids}
    described = tmp_path / "openapi.json"
    described.write_text(json.dumps(document))
    checks = "not_a_server_error,status_code_conformance,content_type_conformance,response_schema_conformance"
    ran = subprocess.run(
        [
            shutil.which("schemathesis", path=os.path.dirname(sys.executable)), "run", described,
            "--url", address, "--checks", checks, "--max-examples", str(EXAMPLES), "--phases", "examples,fuzzing",
            "--request-timeout", "20", "--seed", "7", "--no-color", "--workers", "2",
        ],
        capture_output=True, text=True, cwd=tmp_path,
    )  # fmt: skip
    assert ran.returncode == 0, ran.stdout[-6000:] + ran.stderr[-2000:]
    assert json.loads(ask(f"{address}/api/shelf"))["paintings"], "it still answers"


def test_the_command_and_the_studio_give_the_same_packet(studio, mahlstick, tmp_path):
    address, folder = studio
    file = folder / "cast.mahlstick"
    mahlstick(
        "new", file, "--photo", CAST, "--canvas", "16x20in", "--crown", "1500,700", "--chin", "1500,2800",
        "--head", "8in", "--detail", "4in,5in,8x8in",
    )  # fmt: skip
    shelf = json.loads(ask(f"{address}/api/shelf"))["paintings"]
    painting = next(one["id"] for one in shelf if one["title"] == "cast")
    # Strong light lines are part of the plan, so that the command draws them too.
    revision = json.loads(ask(f"{address}/api/paintings/{painting}"))["revision"]
    look = {"print": {"do": "line-look", "strength": 2.5, "tone": "light"}}
    change = {"revision": revision, "gesture": None, "edit": look}
    ask(f"{address}/api/paintings/{painting}/edits", json.dumps(change).encode())
    for wishes, options in [
        ("", ()),
        ("show=values:5,mirror&ratio=1:2", ("--show", "values:5,mirror", "--ratio", "1:2")),
        ("show=squint:4mm,upside-down&kinds=reference", ("--show", "squint:4mm,upside-down", "--only", "reference")),
    ]:
        from_studio = ask(f"{address}/api/paintings/{painting}/packet.pdf?{wishes}")
        mahlstick("packet", file, "-o", tmp_path / "packet.pdf", *options)
        # Both bear today's date; only a run over midnight would tell them apart.
        assert from_studio == (tmp_path / "packet.pdf").read_bytes(), wishes
