"""By which rule the study states each kind of fact, for a director who asks where a sentence comes from.

A number in a rule stands in braces under its name: the study holds it, ``services.piece_page.thresholds``
hands it in, and nothing is written twice. Shares are set with ``:.0%``.
"""

from collections.abc import Mapping

from planner.core.difficulty import ChallengeKind
from planner.core.fact import FactKind
from planner.core.profile import PatternKind

RULES: Mapping[FactKind, str] = {
    FactKind.METER: (
        "Read from the time signature; an uneven grouping from words, beams, accents, the bass or long "
        "notes, in this order of trust."
    ),
    FactKind.PICKUP: "The first bar is shorter than its time signature asks.",
    FactKind.OWN_METER: (
        "The signature on this part's page differs from that of most others; at most {own_meters:g} "
        "passages are named."
    ),
    FactKind.METER_CHANGES: (
        "Read from the time signatures; where none is printed, from the lengths of the bars. A grouping "
        "turns when beams, accents, bass or long notes show it for more than one bar."
    ),
    FactKind.AGAINST_METER: (
        "Notes begin where the other meter has its beats and none where this one has, in at least "
        "{against_share:.0%} of the parts that play there."
    ),
    FactKind.ACCENTED_BEATS: (
        "In at least {accent_bars:g} bars in a row the accents stand on one beat after the first, and "
        "none on the first; the longest such passage."
    ),
    FactKind.OFFBEATS: (
        "In at least {offbeat_bars:g} bars no note of the part begins on a felt beat, and one at most "
        "after each; up to {offbeat_places:g} passages."
    ),
    FactKind.AGAINST_TRIPLETS: (
        "In at least {triplet_bars:g} bars in a row the part divides the beat evenly while others divide "
        "it in three; a part is named that has them on at least {triplet_share:.0%} of these beats."
    ),
    FactKind.RHYTHM_TO_TAP: (
        "Of the part's full bars with one voice the one with most to count: each note off the felt beat "
        "weighs {tap_off:g}, {tap_held:g} more where it is held over the next, and a quarter of it in an "
        "even figure; a rhythm gains by coming again. Where all notes fall on the beat it is the "
        "commonest bar that leaves beats out."
    ),
    FactKind.RHYTHM_TO_COUNT: (
        "The next best rhythm after the one worth tapping, and the bars of the spots that have another "
        "rhythm, weighed in the same way."
    ),
    FactKind.SAME_BEATS: (
        "In at least {same_beat_bars:g} bars the part strikes on the same felt beats and nowhere else, "
        "never on the first; the longest such passage."
    ),
    FactKind.BARS_BEGIN_TIED: "A tie leads into the bar, and the part strikes again in it.",
    FactKind.BARS_BEGIN_SILENT: (
        "The part rests at the beginning of the bar and comes in on a felt beat or the half of one."
    ),
    FactKind.COUNTED_RESTS: "At least {counted_rest_bars:g} whole bars of the part are silent before it.",
    FactKind.STOPS_EARLY: (
        "The part is silent for the last {counted_rest_bars:g} bars of the page or more, and another plays."
    ),
    FactKind.HELD_NOTE: (
        "The part's longest note, ties followed, where its bar has no other and it fills whole felt beats."
    ),
    FactKind.CHALLENGE: (
        "The heaviest place of each kind of challenge that leads none of the spots, from a weight of "
        "{spot_weight:g} on."
    ),
    FactKind.ONE_RHYTHM: (
        "At least {together_parts:g} parts strike together for {together_bars:g} bars or more, on average"
        " at {together_share:.0%} of the moments when any of them does."
    ),
    FactKind.SECTIONS: (
        "Sections begin at names, double bars, changes of signature and where the leading line comes "
        "again; those that are alike share a letter. No section has under {section_bars:g} bars but one "
        "that the page marks."
    ),
    FactKind.OPENING_RETURNS: (
        "The leading line of the first {opening_bars:g} bars comes again note for note, up to "
        "{opening_returns:g} places."
    ),
    FactKind.TUNE_RETURNS: (
        "At least {return_bars:g} bars of the tune come again with {return_share:.0%} of their notes in "
        "the same place of the bar."
    ),
    FactKind.PHRASES: (
        "Phrases end where the leading line comes to rest: at long notes, rests, fermatas and closes; "
        "none is longer than {phrase_bars:g} full bars."
    ),
    FactKind.HAS_TUNE: (
        "The line stands out by height, motion and rhythm; a passage is named where the chance that it is"
        " the tune is {tune_sure:.0%} or more on average, the longest {tune_places:g}."
    ),
    FactKind.DOUBLES_TUNE: (
        "It strikes at least {doubled_notes:g} notes of the tune with the other part, in unison or octaves."
    ),
    FactKind.ACCOMPANIES: (
        "For {accompanied_bars:g} bars or more the other part has the tune, and this one shares at most "
        "{accompanied_share:.0%} of its notes with it."
    ),
    FactKind.ANSWERS: (
        "At least {answer_notes:g} notes agree in rhythm and shape with what the other part played at "
        "most {answer_bars:g} bars before."
    ),
    FactKind.PATTERN: "",
    FactKind.IN_PATTERNS: (
        "Notes within repeats, sequences and ostinati, over all notes of the part; stated from "
        "{pattern_share:.0%}."
    ),
    FactKind.OUTSIDE_SIGNATURE: (
        "Every note whose name the signature on this part's page does not have; the {altered_notes:g} "
        "that come most often are named."
    ),
    FactKind.IN_SIGNATURE: "No note of the part has a name outside its signature.",
    FactKind.STILL_ALTERED: (
        "An accidental holds to the bar line: notes that it alters again, without a new sign."
    ),
    FactKind.REMINDERS: "Signs on the page that change nothing.",
    FactKind.SPELLINGS: (
        "E♯, B♯, C♭ and F♭, and notes that sound as one of another name at most {spelling_bars:g} bar back."
    ),
    FactKind.WORDS: "Words on this part's page or for everyone that the glossary knows; at most {words:g}.",
    FactKind.FERMATAS: "Fermatas that stand in the parts at the same place and stop everyone.",
    FactKind.NO_DYNAMICS: "No dynamic mark and no swell stands on this part's page.",
    FactKind.DYNAMICS: (
        "Read from this part's page. A change is sudden when it skips from p to f or as far "
        "({sudden_steps:g} steps), with no swell leading there."
    ),
    FactKind.DYNAMIC_EXTREMES: (
        "Read from this part's page; of more than {dynamic_marks:g} marks only the softest and the "
        "loudest. A change is sudden when it skips from p to f or as far, with no swell leading there."
    ),
    FactKind.ARTICULATIONS: "Counted on this part's page.",
    FactKind.STYLE: (
        "Bars in which {style_share:.0%} of the notes or more are played so, at least {style_bars:g} in a"
        " row; the longest {style_passages:g} passages."
    ),
    FactKind.PLAYED_STRAIGHT: "The pages have no repeat, ending, sign or jump.",
    FactKind.ROADMAP: (
        "Played from the marks of all pages together; a jump back takes no repeats unless it says so."
    ),
    FactKind.LANDMARKS: (
        "A name, a number, a new key or meter, a double bar, a repeat sign, words of tempo or the end of a "
        "rest of {landmark_rest:g} bars stands there, and the part plays within {landmark_late:g} bars."
    ),
    FactKind.ROADMAP_MARKS: "Read from the pages of all parts together, each mark once.",
    FactKind.MARKS_LACKING: "Marks that stand on other pages and not on this one.",
    FactKind.HOME_KEY: (
        "From the signature, the end, the beginning, and where the music spends its time. In scores "
        "labeled by people it is the label in at least {home_sure:.0%}."
    ),
    FactKind.AWAY_FROM_HOME: (
        "The notes and chords fit another key for at least {region_bars:g} bars, half as many in a short "
        "piece; at most {regions:g} places are named."
    ),
    FactKind.KEY_ACCIDENTALS: (
        "Accidentals that come at least {key_times:g} times in a passage and belong to the key heard "
        "there; at most {key_notes:g} for a part."
    ),
    FactKind.CADENCE: "Two chords that close, where a phrase ends; at most {cadences:g} are named.",
    FactKind.CHORD_MEMBER: "The part's note in the last chord of a cadence.",
    FactKind.PEDAL_POINT: (
        "The bass keeps one note for at least {pedal_quarters:g} quarters, under at least "
        "{pedal_chords:g} changes of chord."
    ),
    FactKind.PEDAL_HELD: (
        "The bass keeps one note for at least {pedal_quarters:g} quarters, under at least "
        "{pedal_chords:g} changes of chord, and this part has it."
    ),
    FactKind.SPOT: (
        "Bars are weighed by what stands in them; the heaviest {spots:g} that weigh {spot_weight:g} or "
        "more are named, with every entrance after a long rest. A leap of an octave weighs 1."
    ),
    FactKind.TEMPO: (
        "From the metronome mark; without one from the words by the usual tables; without words from a "
        "playback tempo in the file; without any a moderate one is assumed."
    ),
    FactKind.TEMPO_TURNS: "Every metronome mark and word of tempo on the pages after the beginning.",
    FactKind.READING_TEMPO: (
        "So that the busiest tenth of the bars of every part ask no more than {slow_notes:.1f} (easy "
        "parts) to {fast_notes:.1f} (hard ones) notes a second. The first reading is {marks_below:g} "
        "metronome marks slower."
    ),
    FactKind.PLAYING_TIME: "Bars as they are played, at the tempo in force in each.",
    FactKind.SIGNATURE_CHANGES: "Read from this part's page.",
    FactKind.CLEF_CHANGES: "Read from this part's page; stated up to {clef_changes:g} changes.",
    FactKind.HIGHEST_NOTE: (
        "The highest note as written; stated when it stands in at most {high_bars:g} bars."
    ),
    FactKind.WIDEST_LEAP: (
        "Of the part's leaps from note to note the widest, from {leap_least:g} semitones on, where no other "
        "is as wide."
    ),
    FactKind.BREATHS: (
        "Rests in a line that otherwise runs on for {breath_seconds:g} seconds, and notes of "
        "{long_note:g} times the usual length that end a phrase; at most {breath_places:g}."
    ),
    FactKind.STRUCK: "The names that the file gives to the strokes; stated when every stroke has one.",
    FactKind.DRUMS_TUNED: (
        "Four drums, the fewest changes of pitch as the bars are played; at most {drum_changes:g} of them, "
        "with the seconds there are at the tempo of the first reading."
    ),
    FactKind.FIRST_NOTE: (
        "The first note as written, its place in the key heard there, and a part that has it last in the "
        "{before_quarters:g} quarters before, alone or above or below all others, at most an octave away."
    ),
    FactKind.HIGH_POSITION: (
        "The highest note lies beyond the reach of the lower positions; stated from position "
        "{least_position:g} on, in at most {position_bars:g} bars."
    ),
    FactKind.FIRST_POSITION: "Every note lies within reach of the first position or on an open string.",
    FactKind.FINGERINGS: (
        "Notes of a table of fingerings that readers of this level learn last, at most "
        "{fingered_notes:g}; where the page prints fingerings nothing is stated."
    ),
    FactKind.CHANGES: (
        "Words for mutes, bow, beaters and instruments in English, Italian, German and French, and the "
        "silence before the next note at the tempo of the first reading; at most {changes:g}, those with "
        "the least time."
    ),
    FactKind.SWITCHES: (
        "From one instrument to another that is never struck in the same bar, with at most "
        "{switch_seconds:g} seconds at the tempo of the first reading."
    ),
    FactKind.SAME_BARS: "The same strokes at least {same_bars:g} bars in a row.",
    FactKind.ROLLS: "A trill, or three strokes through the stem; stated for at most {rolled_bars:g} bars.",
    FactKind.CUES: (
        "Small notes where this part rests: another part has the very same, at least {cued_notes:g}, or the "
        "page prints an instrument or the word cue over them."
    ),
    FactKind.DIVIDED: "From a word that divides the section to one that brings it together.",
    FactKind.PLAYERS: (
        "Words for one player or both, where both kinds stand on the page; at most {players_turns:g} turns."
    ),
    FactKind.WHOLE_FITS: (
        "Study {study_minutes:g} minutes and {study_level:g} more a level, hearing half the playing time,"
        " two readings at their tempos, fixing {fixing_minutes:g}."
    ),
    FactKind.PASSAGE_FITS: (
        "Study {study_minutes:g} minutes and {study_level:g} more a level, hearing half the playing time,"
        " two readings, fixing {fixing_minutes:g}; the passage of whole phrases, at least "
        "{passage_bars:g} bars, that fills the time and keeps most of what the piece trains."
    ),
    FactKind.NOTHING_FITS: (
        "Study {study_minutes:g} minutes and {study_level:g} more a level, hearing half the playing time,"
        " two readings, fixing {fixing_minutes:g}."
    ),
}
"""For each kind of fact its rule; a pattern has one by its kind."""

PATTERN_RULES: Mapping[PatternKind, str] = {
    PatternKind.REPEAT: (
        "At least {repeat_notes:g} notes come again with the same pitches and lengths, or at least "
        "{shape_notes:g} with the same shape higher or lower."
    ),
    PatternKind.SEQUENCE: "A figure is stated again at once, each time moved by the same step.",
    PatternKind.RHYTHM: "At least {rhythm_bars:g} bars have the same rhythm, whatever the pitches.",
    PatternKind.OSTINATO: "A figure is stated again and again at once on the same notes.",
    PatternKind.UNISON: (
        "At least {unison_notes:g} notes are struck together with the other parts, in any octave."
    ),
}
"""For each kind of pattern the rule by which it is found."""

CHALLENGE_RULES: Mapping[ChallengeKind, str] = {
    ChallengeKind.RUN: (
        "A run: at least {run_notes:g} even notes, {run_rate:g} a second or quicker at full tempo, each "
        "at most a third from the last."
    ),
    ChallengeKind.DENSE_PASSAGE: (
        "A dense bar: at least {dense_rate:g} notes a second, and {dense_ratio:g} times the usual bar of "
        "the part."
    ),
    ChallengeKind.SYNCOPATION: "Syncopation: notes that begin off the beat and hold over it.",
    ChallengeKind.TIE_OVER_BAR_LINE: "A tie over the bar line into a bar that goes on off the beat.",
    ChallengeKind.CROSS_RHYTHM: "Cross-rhythm: triplets against even notes on the same beat.",
    ChallengeKind.WIDE_LEAP: (
        "A wide leap: at least {leap:g} semitones ({leap_strings:g} on strings, {leap_keyboard:g} at "
        "keyboards) from a note to the next, with no rest and no fermata between."
    ),
    ChallengeKind.REGISTER_CHANGE: (
        "A new register: the middle of neighboring bars lies {register:g} semitones apart or more, and no "
        "earlier bar came so high or low."
    ),
    ChallengeKind.ACCIDENTAL_CLUSTER: (
        "A cluster of accidentals: at least {cluster_notes:g} in a bar, of {cluster_names:g} different "
        "notes, on {cluster_share:.0%} of its notes or more; reminders are not counted."
    ),
    ChallengeKind.ENTRANCE_AFTER_REST: (
        "An entrance after {rest_bars:g} bars of rest or more ({first_rest_bars:g} for the first); a part"
        " is named that comes in at most {cue_bars:g} bars before."
    ),
    ChallengeKind.EXPOSED_ENTRANCE: (
        "An entrance alone: after a bar of rest, and no other part begins with it."
    ),
    ChallengeKind.SUDDEN_DYNAMIC: (
        "A sudden dynamic: at least {spot_sudden:g} steps from the mark before, while playing goes on, "
        "with no swell leading there."
    ),
    ChallengeKind.QUICK_CHANGE: (
        "A quick change: less than {change_seconds:g} seconds for a mute, the bow or another instrument."
    ),
    ChallengeKind.METER_CHANGE: "A new time signature.",
    ChallengeKind.KEY_CHANGE: "A new key signature.",
    ChallengeKind.BREAK_CROSSING: "Crossings of the break, counted from the fingerings.",
    ChallengeKind.SLIDE_MOVE: "Slide moves of {slide:g} positions or more, by the nearest positions.",
    ChallengeKind.VALVE_CHANGE: "Valve changes of the hardest quarter of the published table.",
    ChallengeKind.STRING_CROSSING: "Jumps over a string, by the fingering with the fewest.",
}
"""For each thing that makes a place hard the rule by which it is found."""
