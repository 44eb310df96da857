"""Captions as people and machines write them."""

from __future__ import annotations

import random
from pathlib import Path

import pysubs2
import pytest
import webvtt

from annotate.cues.captions import read_captions, words_id, words_of
from annotate.errors import CaptionError
from tests.known import known

HARBOUR = Path(__file__).parents[3] / "clips" / "demo" / "harbour.vtt"


def said(text: str) -> list[str]:
    return [w.text for w in words_of(text)]


def vtt(*cues: str) -> str:
    return "WEBVTT\n\n" + "\n\n".join(cues)


def test_a_file_is_read_as_webvtt_py_and_pysubs2_read_it() -> None:
    words = read_captions(HARBOUR)
    captions = webvtt.read(str(HARBOUR)).captions
    assert [w.text for w in words if w.stop][:1] == ["out"]
    for caption in captions:
        hours, minutes, seconds = caption.start.split(":")
        start_s = 3600 * int(hours) + 60 * int(minutes) + float(seconds)
        assert any(abs(w.start_s - start_s) < 1e-6 for w in words)
    events = pysubs2.load(str(HARBOUR))
    plain = [w.strip(".,:").lower() for e in events for w in e.plaintext.split()]
    assert [w.text for w in words] == plain


def test_srt_with_commas_tags_and_numbers() -> None:
    text = "1\r\n00:00:01,500 --> 00:00:02,500\r\n<i>Four</i>, {\\an8}three\r\n\r\n2\r\n" \
           "00:00:03,000 --> 00:00:04,000\r\n10 nine\r\n"  # fmt: skip
    words = words_of(text)
    assert [w.text for w in words] == ["four", "three", "10", "nine"]
    assert [w.start_s for w in words] == [1.5, 2.0, 3.0, 3.5]


def test_marks_inside_a_cue_time_its_words() -> None:
    words = words_of(vtt("00:01.000 --> 00:05.000\nfour<00:02.000><c> three</c><00:03.500><c> two"))
    assert [(w.text, w.start_s) for w in words] == [("four", 1), ("three", 2), ("two", 3.5)]
    assert not any(w.spread for w in words)


def test_rolling_captions_say_each_line_once() -> None:
    text = vtt(
        "00:01.000 --> 00:03.000\nnext is squats",
        "00:03.000 --> 00:03.010\nnext is squats",
        "00:03.010 --> 00:05.000\nnext is squats\nlast round now",
        "00:05.000 --> 00:07.000\nlast round now\ntwo more",
        "00:09.000 --> 00:10.000\ntwo more\ntwo more",
    )
    assert " ".join(said(text)) == "next is squats last round now two more two more"


def test_a_word_said_twice_stays_twice() -> None:
    text = vtt("00:01.000 --> 00:01.500\ntwo", "00:01.500 --> 00:02.000\ntwo")
    assert said(text) == ["two", "two"]


def test_what_is_no_speech_is_left_out() -> None:
    text = vtt("00:01.000 --> 00:02.000\n[Music] >> (cheering) ♪ go ♪ &amp; <v Ann>stop")
    assert said(text) == ["go", "stop"]
    assert said("WEBVTT\n\nNOTE 00:01 --> no\n\n1\n00:01.000 --> 00:02.000 align:start\nx") == ["x"]


def test_an_identity_changes_with_what_was_said_and_when() -> None:
    cue = "00:01.000 --> 00:02.000\nthree two"
    one = words_id(words_of(vtt(cue)))
    assert one == words_id(words_of(vtt("NOTE by hand", cue, "")))
    assert len(known(one)) == 12
    for other in (
        "00:01.500 --> 00:02.000\nthree two",
        "00:01.000 --> 00:02.500\nthree two",
        "00:01.000 --> 00:02.000\nthree too",
        "00:01.000 --> 00:02.000\nthree. two",
    ):
        assert words_id(words_of(vtt(other))) != one
    assert words_id(()) is None


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "no captions found"),
        (b"WEBVTT\n\n", "no captions found"),
        (b"hello", "no captions found"),
        (b"WEBVTT\n\n00:01 -> x\n\n1:2 --> 3\nx", 'line 5: "1:2 --> 3" is not a time'),
        (b"\xff\xfa\x00", "not UTF-8 text"),
        (None, "no such file"),
    ],
)
def test_what_cannot_be_read_is_one_line(tmp_path: Path, content: bytes | None, words: str) -> None:
    path = tmp_path / "said.vtt"
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(CaptionError, match=words) as caught:
        read_captions(path)
    assert "\n" not in str(caught.value) and str(path) in str(caught.value)


def test_broken_files_end_in_words_or_in_one_line(tmp_path: Path) -> None:
    rng = random.Random(1)
    content = HARBOUR.read_bytes()[:1500]
    path = tmp_path / "said.vtt"
    for _ in range(200):
        broken = bytearray(content[: rng.randrange(len(content))])
        for _ in range(rng.randrange(8)):
            if broken:
                broken[rng.randrange(len(broken))] = rng.randrange(256)
        path.write_bytes(bytes(broken))
        try:
            words = read_captions(path)
        except CaptionError as error:
            assert "\n" not in str(error)
        else:
            assert all(w.start_s <= w.end_s for w in words)
