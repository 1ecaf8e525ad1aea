"""Texts come in as they stand on the page: no markup, no entities, no signs of a music font."""

import random
import re
import unicodedata

import pytest

from planner.adapters.scores.files.precheck import check_raw
from planner.adapters.scores.reader import read_raw
from planner.adapters.scores.reading.printed_text import printed
from planner.study.study import study
from planner.wording.study.sentences import statements_of

PIECES = (
    "<b>", "</b>", "<sym>metNoteHalfUp</sym>", "<font face='x'/>", "&amp;", "&amp;amp;", "&#xe1d5;",
    "&lt;i&gt;", "\ue047", "\uf8ff", "\u200b", "\x07", "\ufffd", "dolce", "Flute", "1", " < ", " & ", "é",
    "♭", "<br/>", "“a”",
)  # fmt: skip
LEAK = re.compile(r"</?[A-Za-z][^<>]*>|&(?:#?\w+);")


def leaks(text):
    return LEAK.search(text) or any(unicodedata.category(c) in ("Co", "Cc", "Cf", "Cn", "Cs") for c in text)


@pytest.mark.parametrize("seed", range(300))
def test_no_made_up_text_leaks(seed):
    chance = random.Random(seed)
    text = "".join(chance.choice(PIECES) for _ in range(chance.randint(1, 12)))
    clean = printed(text)
    assert not leaks(clean), (text, clean)
    assert printed(clean) == clean
    assert ("dolce" in text) <= ("dolce" in clean)


@pytest.mark.parametrize(
    "text", ["p < mf", "Horn in F & Tuba", "1 > 2", "Größe – „leise“", "♩ = 80", "D.C. al 𝄌"]
)
def test_plain_text_stays(text):
    assert printed(text) == text


def escaped(text):
    plain = "".join(c for c in text if c.isprintable() or unicodedata.category(c) == "Co")
    return plain.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


@pytest.mark.parametrize("seed", range(20))
def test_no_sentence_title_or_name_leaks(seed):
    chance = random.Random(seed)

    def made():
        return escaped("".join(chance.choice(PIECES) for _ in range(6)) + "dolce")

    score = f"""<score-partwise><work><work-title>{made()}</work-title></work>
<identification><creator type="composer">{made()}</creator><rights>{made()}</rights></identification>
<part-list><score-part id="P1"><part-name>{made()}</part-name></score-part></part-list>
<part id="P1"><measure number="1"><attributes><divisions>1</divisions><time><beats>4</beats>
<beat-type>4</beat-type></time></attributes>
<direction><direction-type><words>{made()}</words></direction-type></direction>
<direction><direction-type><rehearsal>{made()}</rehearsal></direction-type></direction>
<direction><direction-type><words>Allegro {made()}</words></direction-type></direction>
<note><pitch><step>C</step><octave>5</octave></pitch><duration>4</duration><type>whole</type></note>
</measure></part></score-partwise>"""
    read = read_raw(check_raw("a.musicxml", score.encode(), ".musicxml"))
    profile = study(read)
    said = [statement.sentence for statement in statements_of(profile)]
    texts = [profile.title, *profile.creators, profile.rights, read.measures[0].rehearsal, *said]
    texts += [part.name for part in profile.parts]
    assert not [text for text in texts if leaks(text)]
    assert "dolce" in profile.title
    assert any("dolce" in sentence for sentence in said)
