"""Tempo and beat on sounds made with known tempo, and movement held against them.

A pulse train of known rate as the oracle, the tempo within a share of it: as the tests of audio
analysis libraries do. 32 counts last 1920 / bpm seconds (arithmetic: 120 -> 16.00 s).
"""

from __future__ import annotations

import shutil
import subprocess
from fractions import Fraction
from pathlib import Path
from typing import Any

import av
import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.io import wavfile
from scipy.signal import resample_poly

from annotate.music.beat import Beat, find_beats
from annotate.music.on_beat import beats_of, with_music
from annotate.music.onsets import onsets
from annotate.plan.model import ClassPlan
from annotate.plan.unroll import unroll
from annotate.review.model import Comparison, Cue, Review
from clips.sound import beat as music
from pose.video.sound import RATE_HZ, sound
from tests.annotate.reviews import as_planned, block, period, reps, review
from tests.known import known

TEMPOS = (100, 112, 118, 120, 128, 135, 143, 150, 160)
FIRST_S = 0.13


def clicks(
    per_min: float, duration_s: float = 60.0, accent: tuple[int, int] = (1, 0)
) -> NDArray[np.float64]:
    """Short clicks; of every ``accent[0]`` the one at ``accent[1]`` is twice as loud."""
    length = round(0.02 * RATE_HZ)
    times_s = np.arange(length) / RATE_HZ
    click = np.sin(2 * np.pi * 1500 * times_s) * np.exp(-times_s / 0.005)
    samples = np.zeros(round(duration_s * RATE_HZ))
    count = int((duration_s - FIRST_S - 0.05) * per_min / 60)
    for k in range(count):
        at = round((FIRST_S + 60 * k / per_min) * RATE_HZ)
        loud = 2.0 if accent[0] > 1 and k % accent[0] == accent[1] else 1.0
        samples[at : at + length] += 0.3 * loud * click
    return samples


def song(per_min: float, duration_s: float = 60.0) -> NDArray[np.float64]:
    """Drum, shaker off the beat and a low note on every fourth."""
    return resample_poly(music(duration_s, per_min), 1, 4)


def chatter(duration_s: float, seed: int) -> NDArray[np.float64]:
    """Speech-like: voiced, noisy syllables in phrases with pauses, at no steady pace."""
    rng = np.random.default_rng(seed)
    samples = np.zeros(round(duration_s * RATE_HZ))
    at_s = 0.2
    while at_s < duration_s - 6:
        for _ in range(rng.integers(3, 14)):
            length = round(rng.uniform(0.08, 0.22) * RATE_HZ)
            times_s = np.arange(length) / RATE_HZ
            pitch_hz = rng.uniform(110, 220)
            voice = sum(np.sin(2 * np.pi * pitch_hz * h * times_s) / h for h in range(1, 15))
            syllable = (voice + 0.3 * rng.standard_normal(length)) * np.hanning(length)
            at = round(at_s * RATE_HZ)
            samples[at : at + length] += 0.4 * syllable
            at_s += length / RATE_HZ + rng.uniform(0.02, 0.1)
        at_s += rng.uniform(0.3, 1.8)
    return samples


def beats(*parts: NDArray[Any]) -> tuple[Beat, ...]:
    return find_beats(onsets(parts))


@pytest.mark.parametrize("per_min", TEMPOS)
def test_clicks_are_within_a_percent_and_on_time(per_min: int) -> None:
    (found,) = beats(clicks(per_min))
    assert found.sure and found.per_min == pytest.approx(per_min, rel=0.01)
    # The beat itself within 30 ms, at the start and after a minute.
    for k in (0, int(0.95 * per_min)):
        off = found.count_at(FIRST_S + 60 * k / per_min)
        assert abs(off - round(off)) * found.each_s < 0.03


def test_thirty_two_counts_at_120_last_sixteen_seconds() -> None:
    (found,) = beats(clicks(120))
    assert 32 * found.each_s == pytest.approx(16.00, abs=0.01)


@pytest.mark.parametrize("per_min", TEMPOS)
def test_speech_over_music_leaves_the_tempo_within_three_percent(per_min: int) -> None:
    for seed in (1, 2):
        found = beats(song(per_min) + chatter(60, seed))
        assert found
        assert all(b.per_min == pytest.approx(per_min, rel=0.03) for b in found if b.sure)
        assert sum(b.end_s - b.start_s for b in found if b.sure) > 40


@pytest.mark.parametrize("seed", range(5))
def test_speech_alone_has_no_sure_beat(seed: int) -> None:
    assert not any(b.sure for b in beats(chatter(60, seed)))


def test_noise_and_silence_have_no_beat() -> None:
    rng = np.random.default_rng(0)
    assert not any(b.sure for b in beats(0.1 * rng.standard_normal(40 * RATE_HZ)))
    assert beats(np.zeros(40 * RATE_HZ)) == beats() == beats(np.zeros(100)) == ()


def test_a_change_of_music_makes_a_new_stretch() -> None:
    found = beats(np.concatenate([song(120, 40), song(128, 40), song(150, 40)]))
    assert [b.per_min for b in found] == pytest.approx([120, 128, 150], rel=0.01)
    assert [b.start_s for b in found] == pytest.approx([0, 40, 80], abs=6)


def test_blocks_of_any_size_give_the_same() -> None:
    samples = song(126, 30)
    cut = np.split(samples, [10, 5000, 5111, 90000])
    assert beats(*cut) == beats(samples)


@pytest.mark.parametrize(("every", "first"), [(8, 3), (8, 0), (4, 1), (1, 0)])
def test_accents_tell_eights_and_fours(every: int, first: int) -> None:
    (found,) = beats(clicks(128, 90, accent=(every, first)))
    assert found.cycle == every
    accented_s = FIRST_S + first * 60 / 128
    if every > 1:
        place = known(found.in_cycle(accented_s))
        assert min(place, every - place) < 0.1
    else:
        assert found.in_cycle(accented_s) is None


def test_the_sound_of_a_clip_is_on_the_clock_of_its_pictures(tmp_path: Path) -> None:
    path = tmp_path / "take.mp4"
    samples = clicks(120, 30)
    with av.open(str(path), "w") as container:
        film = container.add_stream("libx264", rate=25)
        film.width, film.height, film.pix_fmt = 64, 48, "yuv420p"
        track = container.add_stream("aac", rate=RATE_HZ)
        track.layout = "mono"
        for i in range(750):
            picture = av.VideoFrame.from_ndarray(np.zeros((48, 64, 3), np.uint8))
            # The film begins a second after the sound.
            picture.pts, picture.time_base = i + 25, Fraction(1, 25)
            container.mux(film.encode(picture))
        container.mux(film.encode(None))
        block = av.AudioFrame.from_ndarray(samples[None].astype("f4"), "fltp", "mono")
        block.sample_rate, block.pts, block.time_base = RATE_HZ, 0, Fraction(1, RATE_HZ)
        container.mux(track.encode(block))
        container.mux(track.encode(None))
    (found,) = find_beats(onsets(sound(path)))
    off = found.count_at(FIRST_S + 1.0 - 1.0)
    assert found.per_min == pytest.approx(120, rel=0.002)
    assert abs(off - round(off)) * found.each_s < 0.04


@pytest.mark.skipif(shutil.which("espeak-ng") is None, reason="espeak-ng is not installed")
def test_a_spoken_voice_over_music(tmp_path: Path) -> None:
    path = tmp_path / "voice.wav"
    text = "Four, three, two, one. Next, squats. Chest up, sit back, and breathe. Halfway. " * 6
    subprocess.run(["espeak-ng", "-w", path, text], check=True)
    rate, voice = wavfile.read(path)
    voice = resample_poly(voice / 32768, RATE_HZ, rate)[: 30 * RATE_HZ]
    under = song(132, 30)
    under[: len(voice)] += voice[: len(under)]
    (found,) = beats(under)
    assert found.per_min == pytest.approx(132, rel=0.03)


# --- movement against the beat ----------------------------------------------------------------

BEAT = Beat(0.0, 200.0, 120.0, 0.5, sure=True, cycle=8, accent=3)  # eights begin at 2.0 + 4 k


def squats(each_s: float, count: int = 12, start_s: float = 2.0) -> Review:
    spans = reps(start_s, count, each_s)
    return review([period(0, "work", start_s, start_s + count * each_s, "squat", spans),
                   period(1, "recovery", 100, 120, "march")])  # fmt: skip


@pytest.mark.parametrize(
    ("each_s", "words"),
    [
        (2.0, "one repetition every 4 counts, on the beat"),
        (0.5, "one repetition every count, on the beat"),
        # Eleven steps of 0.1 s more than four counts: 1.1 s, 2.2 counts.
        (2.1, "one repetition every 4 counts, 2.2 counts (1.1 s) behind over the round"),
        (1.95, "one repetition every 4 counts, 1.1 counts (0.6 s) ahead over the round"),
        (2.5, "one repetition every 5.0 counts, not in step with the music"),
    ],
)
def test_repetitions_are_held_against_the_beat(each_s: float, words: str) -> None:
    (found,) = with_music(squats(each_s), [BEAT]).on_beat
    assert found.text == f"Squat: {words}."


@pytest.mark.parametrize(
    ("each_s", "tempo"), [(2.0, None), (4.0, "half"), (1.0, "double"), (1.5, None)]
)
def test_half_and_double_time_are_told_as_such(each_s: float, tempo: str | None) -> None:
    plan = unroll(ClassPlan(blocks=(
        block(name="Squat", movement="squat", work=48, cadence=30),)))  # fmt: skip
    filmed = squats(each_s)
    row = Comparison(planned=plan.periods[0], delivered=0, status="as planned", text="")
    (found,) = with_music(filmed.model_copy(update={"comparison": (row,)}), [BEAT]).on_beat
    assert found.tempo == tempo
    if tempo:
        assert f", {tempo} time, on the beat" in found.text


def test_nothing_is_said_where_the_beat_is_not_sure_or_the_music_changes() -> None:
    unsure = Beat(0, 200, 120, 0.5, sure=False)
    assert with_music(squats(2.0), [unsure]).on_beat == ()
    assert len(with_music(squats(2.0), [unsure]).music) == 1
    ends = Beat(0, 15, 120, 0.5, sure=True), Beat(15, 200, 128, 15.2, sure=True)
    assert with_music(squats(2.0), ends).on_beat == ()


def test_changes_are_told_by_count_and_by_how_far_ahead_they_were_announced() -> None:
    plan = unroll(ClassPlan(blocks=(
        block(name="Squat", movement="squat", rounds=2, work=32, recovery=17),)))  # fmt: skip
    filmed = as_planned(plan, late_s=2.0)
    said = Cue(at_s=30.0, kind="announce", text="next march", verdict="right", difference="")
    found = with_music(filmed.model_copy(update={"cues": (said,)}), [BEAT]).changes_on_beat
    # Changes at 34 (an eight begins), 51 and 83 (two counts into one and on its third).
    assert [(c.at_s, c.count, c.announced_counts) for c in found] == [
        (34, 1, 8), (51, 3, None), (83, 3, None),
    ]  # fmt: skip
    assert found[0].text.endswith("on the first count of eight, announced 8 counts ahead.")


def test_a_corrected_review_keeps_its_music() -> None:
    found = with_music(squats(2.0), [BEAT])
    assert beats_of(found.music) == (BEAT,)
