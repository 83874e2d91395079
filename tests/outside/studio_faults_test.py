"""What may happen to a running studio's files: the disk fills up, the folder cannot be written, a painting's file goes away or is
exchanged, the program is killed, the clock jumps. Nothing acknowledged is lost, and the message says what to do.

The faults are the operating system's own: a small tmpfs, SIGKILL, and libfaketime
(Debian package `faketime`), which tells a program another time.
"""

import json
import os
import shutil
import signal
import subprocess
import urllib.error
import urllib.request
from pathlib import Path

import pytest

from conftest import ROOT
from running import Running

CAST = ROOT / "demo/harbour-pilot.jpg"
LIBFAKETIME = next(Path("/usr/lib").glob("*/faketime/libfaketime.so.1"), None)


class Studio(Running):
    """The program on a folder."""

    def ask(self, path, body=None):
        """Status and answer; a refusal has a `message`."""
        data = body if isinstance(body, bytes | None) else json.dumps(body).encode()
        request = urllib.request.Request(self.address + path, data, {"content-type": "application/json"})
        try:
            with urllib.request.urlopen(request, timeout=30) as answer:
                return answer.status, json.load(answer)
        except urllib.error.HTTPError as refusal:
            return refusal.code, json.load(refusal)

    def new(self):
        status, made = self.ask("/api/paintings", {"title": "Study", "size": "12 x 16 in"})
        assert status == 200, made
        return f"/api/paintings/{made['id']}"

    def divide(self, path, parts):
        status, state = self.ask(path)
        if status != 200:
            return status, state
        edit = {"grid": {"do": "parts", "columns": parts, "rows": parts}}
        return self.ask(path + "/edits", {"revision": state["revision"], "edit": edit})


@pytest.fixture
def start(target):
    running = []

    def begin(folder, environment=None):
        running.append(Studio(target / "release/mahlstick", folder, environment=environment))
        return running[-1]

    yield begin
    for studio in running:
        if studio.process.poll() is None:
            studio.stop()


AS_ROOT = [] if os.geteuid() == 0 else ["sudo", "-n"]


def mount(*arguments):
    return subprocess.run([*AS_ROOT, "mount", *arguments], capture_output=True, text=True)


@pytest.fixture
def small_disk(tmp_path):
    """A disk of 6 MB, unmounted afterwards. Where none may be mounted, the checks on it are left out, and pytest lists them."""
    disk = tmp_path / "disk"
    disk.mkdir()
    mounted = mount("-t", "tmpfs", "-o", "size=6m,mode=777", "tmpfs", disk)
    if mounted.returncode:
        pytest.skip(f"no small disk can be mounted here: {mounted.stderr.strip()}")
    yield disk
    subprocess.run([*AS_ROOT, "umount", "-l", disk], check=True)


def parts(state):
    """How many columns the grid has."""
    return state["view"]["grid"]["parts"][0]


def words(answer):
    """The sentences of a refusal."""
    text = answer["message"]
    assert "panicked" not in text and "os error" not in text.lower(), text
    return text


def test_a_full_disk_keeps_the_last_good_state_and_says_so(start, small_disk):
    studio = start(small_disk / "Paintings")
    painting = studio.new()
    status, state = studio.divide(painting, 3)
    assert status == 200
    filler = small_disk / "filler"
    with open(filler, "wb") as file:
        try:
            while True:
                file.write(bytes(1 << 16))
                file.flush()
        except OSError:
            pass
    refusals = []
    for number in range(60):
        status, answer = studio.divide(painting, 4 + number % 5)
        if status != 200:
            refusals.append(words(answer))
            break
        state = answer
    status, answer = studio.ask(f"{painting}/photo?revision={state['revision']}", CAST.read_bytes())
    assert status != 200
    refusals.append(words(answer))
    assert all("full" in refusal and "room" in refusal.lower() for refusal in refusals), refusals
    assert parts(studio.ask(painting)[1]) == parts(state)
    filler.unlink()
    # With room again, work goes on where it was; and what was acknowledged is there after a restart.
    status, state = studio.divide(painting, 9)
    assert status == 200
    studio.stop()
    again = start(small_disk / "Paintings")
    assert parts(again.ask(painting)[1]) == 9


def test_a_folder_that_cannot_be_written_is_told(start, small_disk):
    folder = small_disk / "Paintings"
    studio = start(folder)
    painting = studio.new()
    assert studio.divide(painting, 3)[0] == 200
    studio.stop()
    before = {file.name: file.read_bytes() for file in folder.iterdir() if file.is_file()}
    assert mount("-o", "remount,ro", small_disk).returncode == 0
    try:
        studio = start(folder)
        for status, answer in [
            studio.divide(painting, 5),
            studio.ask("/api/paintings", {"title": "Another", "size": "12 x 16 in"}),
        ]:
            assert status not in (200, 500), answer
            assert "a folder of your own" in words(answer), words(answer)
        assert studio.ask("/api/shelf")[0] == 200
        studio.stop()
        assert before == {file.name: file.read_bytes() for file in folder.iterdir() if file.is_file()}
    finally:
        assert mount("-o", "remount,rw", small_disk).returncode == 0
    studio = start(folder)
    assert parts(studio.ask(painting)[1]) == 3
    assert studio.divide(painting, 5)[0] == 200


def file_of(folder):
    (file,) = [file for file in folder.glob("*.mahlstick") if "Study" in file.name or "study" in file.name]
    return file


def test_a_file_that_goes_away_is_missed_and_not_made_anew(start, tmp_path):
    folder = tmp_path / "Paintings"
    studio = start(folder)
    painting = studio.new()
    assert studio.divide(painting, 3)[0] == 200
    file = file_of(folder)
    aside = tmp_path / "aside.mahlstick"
    file.rename(aside)
    status, answer = studio.divide(painting, 5)
    assert status != 200 and words(answer)
    assert not file.exists(), "an edit does not bring back a file that was put away"
    assert studio.ask("/api/shelf")[0] == 200
    aside.rename(file)
    status, state = studio.ask(painting)
    assert status == 200 and parts(state) == 3


def test_a_file_exchanged_for_another_is_not_written_over(start, tmp_path):
    folder = tmp_path / "Paintings"
    studio = start(folder)
    painting = studio.new()
    assert studio.divide(painting, 3)[0] == 200
    file = file_of(folder)
    other = tmp_path / "other.mahlstick"
    program = studio.process.args[0]
    subprocess.run([program, "new", other, "--canvas", "9x12in", "--divide", "7"], check=True, capture_output=True)
    shutil.copy(other, tmp_path / "incoming")
    os.replace(tmp_path / "incoming", file)
    # Whatever the studio answers, the other painting's file is not harmed by what was open before.
    studio.divide(painting, 5)
    status, state = studio.ask(painting)
    studio.stop()
    shown = subprocess.run([program, "show", file, "--json"], check=True, capture_output=True, text=True)
    assert json.loads(shown.stdout), "the file is a whole painting"
    if status == 200:
        assert parts(state) in (5, 7)
    again = start(folder)
    assert parts(again.ask(painting)[1]) in (5, 7)


def test_what_was_acknowledged_outlives_a_kill(start, tmp_path):
    folder = tmp_path / "Paintings"
    for number in range(2, 12):
        studio = start(folder)
        if number == 2:
            painting = studio.new()
        else:
            assert parts(studio.ask(painting)[1]) == number - 1
        assert studio.divide(painting, number)[0] == 200
        studio.process.send_signal(signal.SIGKILL)
        studio.process.wait(10)


def test_a_clock_that_jumps_loses_nothing(start, tmp_path):
    assert LIBFAKETIME, "Debian's package faketime is needed"
    clock = tmp_path / "clock"
    clock.write_text("+0")
    environment = os.environ | {
        "LD_PRELOAD": str(LIBFAKETIME),
        "FAKETIME_TIMESTAMP_FILE": str(clock),
        "FAKETIME_NO_CACHE": "1",
        "FAKETIME_DONT_FAKE_MONOTONIC": "1",
    }
    studio = start(tmp_path / "Paintings", environment)
    painting = studio.new()
    for number, jump in enumerate(["+0", "-2d", "+3650d", "-20y", "+0"], start=2):
        clock.write_text(jump)
        status, state = studio.divide(painting, number)
        assert status == 200 and parts(state) == number, (jump, state)
        assert studio.ask("/api/shelf")[0] == 200
    for number in (5, 4, 3, 2):
        _, state = studio.ask(painting)
        status, state = studio.ask(f"{painting}/undo", {"revision": state["revision"]})
        assert status == 200 and parts(state) == number


def test_a_second_start_shows_the_studio_that_is_open(target, start, tmp_path):
    studio = start(tmp_path)
    second = [target / "release/mahlstick", "studio", "--folder", tmp_path, "--no-open"]
    said = subprocess.run(second, capture_output=True, text=True, timeout=30)
    assert (said.returncode, said.stdout) == (0, f"Mahlstick's studio is open already at {studio.address}/\n"), said
    # One that asks for a port, be it the one that is taken, means the same folder.
    port = studio.address.rsplit(":", 1)[1]
    again = subprocess.run([*second, "--port", port], capture_output=True, text=True, timeout=30)
    assert (again.returncode, again.stdout) == (0, said.stdout), again
    # One that was killed leaves no trace.
    studio.process.kill()
    studio.process.wait()
    again = start(tmp_path)
    assert again.ask("/api/shelf")[0] == 200
