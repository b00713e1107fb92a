"""The cues' sounds: shipped as made, told apart, and never in the window's way."""

import io
import sys
import time
import wave
from itertools import combinations

import numpy as np
import pytest

from seatproof.gui.sound.cue import Cue
from seatproof.gui.sound.player import SoundPlayer, at_volume, sound_file
from seatproof.gui.sound.synthesis import RATE_HZ, samples, wave_bytes

cues = pytest.mark.parametrize("cue", list(Cue))


@cues
def test_the_shipped_sound_is_the_one_that_is_made(cue):
    with wave.open(io.BytesIO(sound_file(cue).read_bytes())) as shipped:
        frames = np.frombuffer(shipped.readframes(shipped.getnframes()), dtype="<i2")
        assert shipped.getframerate() == RATE_HZ
    # The last bit of a sine differs between processors.
    assert np.abs(frames.astype(int) - samples(cue)).max() <= 1


@cues
def test_a_sound_is_short_and_loud_without_being_cut(cue):
    data = samples(cue)
    assert len(data) / RATE_HZ < 1.3
    assert 10_000 < np.abs(data.astype(int)).max() < 32_767
    assert abs(int(data[0])) < 400  # no click at either end
    assert abs(int(data[-1])) < 400


def strokes(cue) -> int:
    """Count the separate strokes of a sound: loud stretches with quiet between them."""
    data = np.abs(samples(cue).astype(float))
    window = int(0.01 * RATE_HZ)
    loud = np.convolve(data, np.ones(window) / window, "same") > 0.06 * data.max()
    return int(np.count_nonzero(np.diff(loud.astype(int)) == 1) + loud[0])


def test_sounds_differ_in_rhythm_or_length_not_in_pitch_alone():
    shapes = {cue: (strokes(cue), round(len(samples(cue)) / RATE_HZ, 1)) for cue in Cue}
    for one, other in combinations(Cue, 2):
        assert shapes[one] != shapes[other], f"{one} and {other} have one rhythm: {shapes[one]}"


def test_half_the_volume_is_half_the_samples():
    loud, quiet = wave_bytes(Cue.INSIDE), at_volume(wave_bytes(Cue.INSIDE), 0.5)
    assert len(loud) == len(quiet)
    with wave.open(io.BytesIO(quiet)) as file:
        frames = np.frombuffer(file.readframes(file.getnframes()), dtype="<i2")
    assert np.abs(frames - samples(Cue.INSIDE) / 2).max() <= 1


@pytest.fixture
def bell():
    return []


@pytest.fixture
def make_player(qtbot, bell):
    players = []

    def make(command=(), volume=80, muted=False):
        player = SoundPlayer(volume, muted, player=command, strike=lambda: bell.append(None))
        players.append(player)
        return player

    yield make
    for player in players:
        player.close()


@cues
def test_without_a_player_the_bell_tells_the_cues_apart(qtbot, make_player, bell, cue):
    make_player().play(cue)
    qtbot.waitUntil(lambda: len(bell) == cue.strokes, timeout=3000)
    qtbot.wait(250)
    assert len(bell) == cue.strokes


def test_a_player_that_finds_no_device_gives_way_to_the_bell(qtbot, make_player, bell):
    player = make_player((sys.executable, "-c", "raise SystemExit(1)"))
    player.play(Cue.OUTSIDE)
    qtbot.waitUntil(lambda: len(bell) == Cue.OUTSIDE.strokes, timeout=5000)
    assert player.uses_bell


def test_a_player_that_is_not_there_gives_way_to_the_bell(qtbot, make_player, bell):
    make_player(("/no/such/player",)).play(Cue.INSIDE)
    qtbot.waitUntil(lambda: len(bell) == 1, timeout=5000)


def test_a_slow_player_holds_nothing_up_and_is_started_once(make_player, bell, tmp_path):
    log = tmp_path / "started"
    script = f"open({str(log)!r}, 'a').write('x'); import time; time.sleep(30)"
    player = make_player((sys.executable, "-c", script))
    began_s = time.monotonic()
    for _ in range(30):
        player.play(Cue.INSIDE)
    assert time.monotonic() - began_s < 0.5
    player.close()
    assert not log.exists() or log.read_text() == "x"
    assert bell == []


def test_muted_is_silent(qtbot, make_player, bell):
    player = make_player(muted=True)
    player.play(Cue.PARKED)
    player.set_loudness(0, False)
    player.play(Cue.PARKED)
    qtbot.wait(50)
    assert bell == []
