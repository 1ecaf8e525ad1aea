"""The metronome in a real browser: what it renders, sample by sample, against times worked out here."""

import base64
import json
from dataclasses import asdict
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from playwright.sync_api import expect

import planner.adapters.web
from planner.core.profile import MeterSpan, Roadmap, Tempo, TempoSpan
from planner.services.beat.beat_sheet import beat_sheet
from tests.adapters.web.browsing import fits
from tests.adapters.web.test_browser import browser, page, site  # noqa: F401
from tests.fakes import make_profile

pytestmark = pytest.mark.browser

STATIC = Path(planner.adapters.web.__file__).parent / "static"
RATE = 22_050
LOUD = {"bar": 3, "group": 2, "beat": 1, "inside": 0}

E8, Q, DQ = Fraction(1, 2), Fraction(1), Fraction(3, 2)
IN_A_BAR = {
    "4/4": ((0 * Q, "bar"), (1 * Q, "beat"), (2 * Q, "beat"), (3 * Q, "beat")),
    "3/4": ((0 * Q, "bar"), (1 * Q, "beat"), (2 * Q, "beat")),
    "6/8": ((0 * Q, "bar"), (DQ, "beat")),
    "5/4": ((0 * Q, "bar"), (1 * Q, "beat"), (2 * Q, "beat"), (3 * Q, "group"), (4 * Q, "beat")),
    "7/8": (
        (0 * E8, "bar"), (1 * E8, "inside"), (2 * E8, "group"), (3 * E8, "inside"),
        (4 * E8, "group"), (5 * E8, "inside"), (6 * E8, "inside"),
    ),
}  # fmt: skip
"""When a bar of each meter is clicked, in quarters, and how strongly; 5/4 as 3+2, 7/8 as 2+2+3.

Source: common practice of beating time (from memory): compound meters in dotted beats, uneven ones by groups
with the eighths between.
"""
LENGTH = {"4/4": 4 * Q, "3/4": 3 * Q, "6/8": 3 * Q, "5/4": 5 * Q, "7/8": Fraction(7, 2)}
GROUPING = {"4/4": (1,) * 4, "3/4": (1,) * 3, "6/8": (3, 3), "5/4": (3, 2), "7/8": (2, 2, 3)}

CHANGING = ["4/4", "7/8", "3/4", "5/4", "6/8"] * 12
CASES = {
    "four quarters": (["4/4"] * 54, [(0, 0.0, 180)], {}, 1),
    "compound": (["6/8"] * 104, [(0, 0.0, 300)], {}, 1),
    "uneven, in groups": (["7/8"] * 32, [(0, 0.0, 200)], {}, 1),
    "five quarters": (["5/4"] * 44, [(0, 0.0, 220)], {}, 2),
    "a meter for each bar": (CHANGING, [(0, 0.0, 216)], {}, 1),
    "tempos that change, also inside a bar": (
        ["4/4"] * 60, [(0, 0.0, 120), (12, 0.0, 200), (30, 2.0, 150), (31, 0.0, 240)], {}, 1
    ),
    "a pickup": (["4/4"] * 56, [(0, 0.0, 190)], {0: Fraction(1)}, 1),
    "a pickup off the beat, two bars before": (["3/4"] * 72, [(0, 0.0, 190)], {0: E8}, 2),
}  # fmt: skip
"""Of each case the bars in order, the tempos (bar, quarters into it, quarters a minute), the short bars, and
the bars of count-off."""


def due(bars, tempos, short, count_off):
    """Seconds and strength of each click, worked out bar by bar."""
    ahead = [bars[0]] * count_off
    pickup = LENGTH[bars[0]] - short.get(0, LENGTH[bars[0]])
    played = [(time, Fraction(0), LENGTH[time], [(0, tempos[0][2])]) for time in ahead]
    if pickup:
        played.append((bars[0], Fraction(0), pickup, [(0, tempos[0][2])]))
    for at, time in enumerate(bars):
        length = short.get(at, LENGTH[time])
        speed = [bpm for bar, into, bpm in tempos if (bar, into) <= (at, 0.0)][-1]
        turns = [(Fraction(into), bpm) for bar, into, bpm in tempos if bar == at and into > 0]
        played.append((time, LENGTH[time] - length, length, [(Fraction(0), speed), *turns]))
    found, second = [], 0.0
    for time, skipped, length, speeds in played:
        for quarter, strength in IN_A_BAR[time]:
            if skipped <= quarter < skipped + length:
                found.append((second + lasting(quarter - skipped, speeds), strength))
        second += lasting(length, speeds)
    return found, second


def lasting(quarters, speeds):
    """Seconds that the first quarters of a bar take, a piece of it at each tempo."""
    ends = [start for start, _ in speeds[1:]] + [quarters]
    return sum(
        float(max(Fraction(0), min(end, quarters) - start)) * 60 / bpm
        for (start, bpm), end in zip(speeds, ends, strict=True)
    )


def sheet_of(bars, tempos, short):
    turns = [at for at, time in enumerate(bars) if at == 0 or bars[at - 1] != time]
    profile = make_profile(
        measures=len(bars),
        meters=tuple(MeterSpan(at, bars[at], GROUPING[bars[at]], 1.0, "beams") for at in turns),
        roadmap=Roadmap(tuple(range(len(bars)))),
        measure_numbers=tuple(str(at + 1) for at in range(len(bars))),
        tempo_bpm=Tempo(float(tempos[0][2]), "quarter", 100, first_reading=90, source="metronome"),
        tempos=tuple(TempoSpan(at, float(bpm), into, float(bpm)) for at, into, bpm in tempos),
    )
    lengths = [short.get(at, LENGTH[time]) for at, time in enumerate(bars)]
    return json.loads(json.dumps(asdict(beat_sheet(profile, lengths))))


@pytest.fixture(scope="module")
def scripts(browser):  # noqa: F811
    """A page with nothing on it, for which the scripts are at hand."""
    blank = browser.new_page()

    def answer(route):
        name = route.request.url.rsplit("/", 1)[1]
        if name.endswith(".js"):
            route.fulfill(body=(STATIC / name).read_text(encoding="utf-8"), content_type="text/javascript")
        else:
            route.fulfill(body="<!doctype html><title>sound</title>", content_type="text/html")

    blank.route("**/*", answer)
    blank.goto("http://localhost/sound")
    blank.evaluate(RENDERING)
    yield blank
    blank.close()


RENDERING = """async () => {
  const beats = await import("/beats.js");
  const sound = await import("/beat_sound.js");
  const sent = (samples) => new Promise((resolve) => {
    const whole = Int16Array.from(samples, (one) => Math.round(32767 * Math.max(-1, Math.min(1, one))));
    const reader = new FileReader();
    reader.onload = () => resolve(reader.result.split(",")[1]);
    reader.readAsDataURL(new Blob([whole.buffer]));
  });
  window.beats = beats;
  window.renderClicks = async ({ sheet, take, seconds, rate, start }) => {
    const context = new OfflineAudioContext(1, Math.ceil(seconds * rate), rate);
    const { clicks } = beats.clicksOf(sheet, take);
    const player = new sound.Scheduler(context, context.destination, clicks, start);
    player.fill(0.5);
    for (let at = 0.25; at < seconds - 0.1; at += 0.25) {
      context.suspend(at).then(() => { player.fill(context.currentTime + 0.5); context.resume(); });
    }
    return sent((await context.startRendering()).getChannelData(0));
  };
  window.renderDrone = async ({ midi, a4, rate }) => {
    const context = new OfflineAudioContext(1, 6 * rate, rate);
    sound.drone(context, context.destination, midi, a4, 0).stop(4);
    return sent((await context.startRendering()).getChannelData(0));
  };
}"""


def samples_of(text):
    return np.frombuffer(base64.b64decode(text), dtype="<i2").astype(np.float64) / 32767


def onsets_in(samples):
    """Seconds at which a sound begins after 20 ms below the threshold, and how loud its first 2 ms are."""
    above = np.flatnonzero(np.abs(samples) > 0.04)
    begins = above[np.diff(above, prepend=-RATE) > 0.02 * RATE]
    return begins / RATE, [float(np.abs(samples[at : at + RATE // 500]).max()) for at in begins]


@pytest.mark.parametrize("name", CASES)
def test_two_hundred_clicks_are_rendered_within_a_millisecond_and_the_accents_are_louder(scripts, name):
    bars, tempos, short, count_off = CASES[name]
    expected, lasts = due(bars, tempos, short, count_off)
    assert len(expected) >= 200
    take = {"speed": "marked", "scale": 1, "inside": "auto", "bars": count_off, "from": 0}
    start = 0.05
    asked = {"sheet": sheet_of(bars, tempos, short), "take": take, "rate": RATE, "start": start,
             "seconds": lasts + 0.2}  # fmt: skip
    begins, loudness = onsets_in(samples_of(scripts.evaluate("asked => renderClicks(asked)", asked)))
    assert len(begins) == len(expected)
    off = np.abs(begins - start - np.array([second for second, _ in expected]))
    assert off.max() < 0.001
    heard = {kind: [] for kind in LOUD}
    for (_, kind), loud in zip(expected, loudness, strict=True):
        heard[kind].append(loud)
    ranked = [heard[kind] for kind in sorted(LOUD, key=LOUD.get) if heard[kind]]
    assert len(ranked) >= 2
    assert all(max(softer) < 0.8 * min(louder) for softer, louder in pairwise(ranked))


def test_a_slower_tempo_scales_every_section_and_begins_where_it_is_asked(scripts):
    bars, tempos, short = ["4/4"] * 8, [(0, 0.0, 120), (4, 0.0, 180)], {}
    asked = {"sheet": sheet_of(bars, tempos, short),
             "take": {"speed": "marked", "scale": 0.5, "inside": "auto", "bars": 1, "from": 3}}  # fmt: skip
    found = scripts.evaluate("({ sheet, take }) => beats.clicksOf(sheet, take)", asked)
    times = [click["at"] for click in found["clicks"]]
    assert [round(time, 9) for time in times[:9]] == [*range(8), 8]
    assert times[9] - times[8] == pytest.approx(60 / 90)
    assert [click["counting"] for click in found["clicks"][:5]] == [True] * 4 + [False]
    assert (found["clicks"][4]["bar"], found["enters"]) == ("4", 4)


@pytest.mark.parametrize(("fresh_scale", "gap"), [(2, 0.25), (0.5, 1.0)])
def test_another_tempo_goes_on_from_the_beat_heard_last(scripts, fresh_scale, gap):
    sheet = sheet_of(["4/4"] * 4, [(0, 0.0, 120)], {})
    old, fresh = (
        scripts.evaluate(
            "({ sheet, take }) => beats.clicksOf(sheet, take).clicks",
            {
                "sheet": sheet,
                "take": {"speed": "marked", "scale": scale, "inside": "none", "bars": 0, "from": 0},
            },
        )
        for scale in (1, fresh_scale)
    )
    now = 10 + 2.6
    on = scripts.evaluate("([old, fresh, now]) => beats.goOn(old, 10, fresh, now)", [old, fresh, now])
    after = on["start"] + fresh[on["next"]]["at"]
    assert after > now
    steps = (after - (10 + 2.5)) / gap
    assert steps == pytest.approx(round(steps))
    assert steps == pytest.approx(1, abs=0.01)


@pytest.mark.parametrize(
    ("taps", "tempo"),
    [
        ([0, 0.5, 1.0, 1.5, 2.0], 120),
        ([0, 0.51, 0.99, 1.5, 2.01, 2.49], 120),
        ([0, 0.5, 1.0, 2.0, 2.5, 3.0], 120),  # one left out
        ([0, 0.5, 0.56, 1.0, 1.5, 2.0], 120),  # one doubled
        ([0, 0.3, 0.6, 9.0, 9.75, 10.5], 80),  # begun anew after a pause
        ([4.0], None),
        ([0, 9.0], None),
    ],
)
def test_a_tapped_tempo_is_the_usual_gap_and_forgives_a_slip(scripts, taps, tempo):
    found = scripts.evaluate("taps => beats.tappedTempo(taps)", taps)
    assert found == (None if tempo is None else pytest.approx(tempo, abs=2))


@pytest.mark.parametrize(("midi", "a4", "name"), [(58, 440, "B flat"), (50, 442, "D"), (65, 415, "F")])
def test_the_drone_is_in_tune_within_a_cent_soft_and_faded(scripts, midi, a4, name):
    rate = 22_050
    samples = samples_of(
        scripts.evaluate("asked => renderDrone(asked)", {"midi": midi, "a4": a4, "rate": rate})
    )
    steady = samples[int(1.2 * rate) : int(3.8 * rate)]
    power = np.abs(np.fft.rfft(steady * np.hanning(len(steady)), 1 << 20))
    hertz = power.argmax() * rate / (1 << 20)
    above_a = {"B flat": -11, "D": -19, "F": -4}[name]
    assert abs(1200 * np.log2(hertz / (a4 * 2 ** (above_a / 12)))) < 1
    assert 0.02 < np.abs(steady).max() < 0.15
    assert np.abs(samples[: rate // 20]).max() < 0.2 * np.abs(steady).max()
    assert np.abs(samples[-rate // 4 :]).max() < 0.02 * np.abs(steady).max()


def test_the_page_of_a_piece_counts_off_and_beats_by_sight_with_the_keyboard_alone(page):  # noqa: F811
    page.goto("/library/1/beat")
    begin = page.get_by_role("button", name="Start the beat", exact=True)
    expect(begin).to_be_visible()
    assert fits(page)
    page.get_by_label("By sight only").press("Space")
    page.get_by_label("From bar").fill("4711")
    begin.press("Enter")
    expect(page.get_by_text("There is no bar “4711” here.")).to_be_visible()
    expect(page.get_by_label("From bar")).to_be_focused()
    page.get_by_label("From bar").fill("3")
    begin.press("Enter")
    expect(page.get_by_text("Count-off")).to_be_visible()
    tempo = page.locator("[data-field=tempo]")
    before = float(tempo.input_value())
    page.get_by_role("button", name="Faster").press("Enter")
    assert float(tempo.input_value()) > before
    expect(page.get_by_text("Bar 3", exact=True)).to_be_visible()
    page.get_by_role("button", name="Drone", exact=True).press("Enter")
    expect(page.get_by_role("button", name="Stop the drone")).to_be_visible()
    page.get_by_role("button", name="Stop the beat", exact=True).press("Enter")
    expect(begin).to_be_visible()
