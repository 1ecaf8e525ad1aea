/* When a metronome clicks and how strongly, worked out from the bars of a piece: plain functions, no sound. */

export const BAR = 3, GROUP = 2, BEAT = 1, INSIDE = 0;
/* Strengths: the first beat of a bar, of a group, any other beat, what lies between beats. */

export const SLOWEST = 40;
/* Below so many beats a minute what lies between beats is clicked as well: the metronome's slowest mark. */

const NEAR = 1e-6;

/* The pulses of a section's full bar: where each begins, in quarters, how strong it is, which number it has.
   Of a bar longer than its meter the groups go on. */
function pulses(section, until) {
  const unit = section.unit_quarters;
  const counted = unit >= 1;
  const uneven = new Set(section.grouping).size > 1;
  const found = [];
  let at = 0;
  let beat = 0;
  while (at < until - NEAR) {
    beat = 0;
    for (const group of section.grouping) {
      for (let inside = 0; inside < group; inside += 1) {
        const leads = inside === 0;
        if (leads || counted) beat += 1;
        const strength = at < NEAR ? BAR
          : leads ? ((counted && group > 1) || (!counted && uneven) ? GROUP : BEAT)
            : counted ? BEAT : INSIDE;
        found.push({ q: at, strength, beat });
        if (counted) found.push({ q: at + unit / 2, strength: INSIDE, beat });
        at += unit;
      }
    }
  }
  return found.filter((pulse) => pulse.q < until - NEAR);
}

/* Whether what lies between beats is clicked: in uneven groups, and where beats come too slowly. */
function divides(section, pace, inside) {
  if (inside === "all") return true;
  if (inside === "none") return false;
  const counted = section.unit_quarters >= 1;
  const longest = counted ? section.unit_quarters : section.unit_quarters * Math.max(...section.grouping);
  return (!counted && new Set(section.grouping).size > 1) || pace / longest < SLOWEST;
}

/* Quarters a minute of a tempo, as the director takes it. */
const paceOf = (pace, take) => pace[take.speed] * take.scale;

/* Seconds from the beginning of a bar to a place in it, through changes of tempo inside the bar. */
function secondsTo(section, quarters, take) {
  let seconds = 0;
  let from = 0;
  let pace = section.pace;
  for (const turn of section.turns) {
    if (turn.at_quarters >= quarters) break;
    seconds += (turn.at_quarters - from) * 60 / paceOf(pace, take);
    from = turn.at_quarters;
    pace = turn.pace;
  }
  return seconds + (quarters - from) * 60 / paceOf(pace, take);
}

function barClicks(section, take) {
  const shown = divides(section, paceOf(section.pace, take), take.inside);
  return pulses(section, section.skip_quarters + section.length_quarters)
    .filter((pulse) => pulse.q >= section.skip_quarters - NEAR && (shown || pulse.strength !== INSIDE))
    .map((pulse) => ({ ...pulse, q: Math.max(0, pulse.q - section.skip_quarters) }));
}

/* The count before the first bar: whole bars of its meter, then what a pickup leaves of a bar. */
function countOff(section, bars, take) {
  const full = section.unit_quarters * section.grouping.reduce((sum, group) => sum + group, 0);
  const plain = { ...section, turns: [], skip_quarters: 0 };
  const counts = Array.from({ length: bars }, () => ({ ...plain, length_quarters: full }));
  if (bars && section.skip_quarters > 0) counts.push({ ...plain, length_quarters: section.skip_quarters });
  return counts;
}

/* Every bar from one on, each with its section: the places at which a player may begin. */
export function barsOf(sheet) {
  return sheet.sections.flatMap((section) => section.bars.map((name) => ({ name, section })));
}

/* All clicks from a bar on, with the count-off before it.

   take: speed ("marked" or "first"), scale (1: as the sheet has it), inside ("auto", "all" or "none" of what
   lies between beats), bars of count-off (0, 1, 2), from (which bar of barsOf).
   Each click: at (seconds from the first), q (quarters from the first), strength, beat, bar and which of
   all it is, counting.
   ends: when the last bar is over. */
export function clicksOf(sheet, take) {
  const bars = barsOf(sheet).slice(take.from);
  if (!bars.length) return { clicks: [], ends: 0, enters: 0 };
  const counts = countOff(bars[0].section, take.bars, take).map((section) => ({ name: "", section }));
  const clicks = [];
  let at = 0;
  let q = 0;
  let enters = 0;
  [...counts, ...bars].forEach(({ name, section }, index) => {
    if (index === counts.length) enters = at;
    for (const pulse of barClicks(section, take)) {
      clicks.push({
        at: at + secondsTo(section, pulse.q, take), q: q + pulse.q, strength: pulse.strength,
        beat: pulse.beat, bar: name, nth: index, counting: index < counts.length,
      });
    }
    at += secondsTo(section, section.length_quarters, take);
    q += section.length_quarters;
  });
  return { clicks, ends: at, enters };
}

/* Where clicks at a new tempo go on from those heard by a time: when the first of them would have been due, and
   which is the next. The beat heard last stays where it was. */
export function goOn(old, start, fresh, now) {
  let begin = start;
  for (let at = old.length - 1; at >= 0; at -= 1) {
    if (start + old[at].at > now) continue;
    const same = fresh.find((click) => Math.abs(click.q - old[at].q) < NEAR);
    if (same) { begin = start + old[at].at - same.at; break; }
  }
  const next = fresh.findIndex((click) => begin + click.at > now);
  return { start: begin, next: next < 0 ? fresh.length : next };
}

const middle = (numbers) => {
  const sorted = [...numbers].sort((a, b) => a - b);
  const half = sorted.length >> 1;
  return sorted.length % 2 ? sorted[half] : (sorted[half - 1] + sorted[half]) / 2;
};

export const PAUSE_S = 3;
/* A tap after a longer pause begins anew. House choice: slower than 20 beats a minute. */
const TAPS = 9;
const FORGIVEN = 0.1;
/* Taps looked at, and how far a gap may be off the median before it is passed over: a steady hand is within a
   few hundredths. House choices. */

/* The tempo of some taps, in taps a minute; null before the second. times: seconds, ascending. */
export function tappedTempo(times) {
  let last = times.slice(-TAPS);
  for (let at = last.length - 1; at > 0; at -= 1) {
    if (last[at] - last[at - 1] > PAUSE_S) { last = last.slice(at); break; }
  }
  const gaps = last.slice(1).map((time, at) => time - last[at]).filter((gap) => gap > 0);
  if (!gaps.length) return null;
  const usual = middle(gaps);
  const kept = gaps.filter((gap) => Math.abs(gap - usual) <= FORGIVEN * usual);
  return 60 * kept.length / kept.reduce((sum, gap) => sum + gap, 0) || 60 / usual;
}

/* The next number of the metronome up (1) or down (-1) from a tempo. */
export function nextMark(marks, tempo, way) {
  const found = way > 0 ? marks.find((mark) => mark > tempo + NEAR)
    : [...marks].reverse().find((mark) => mark < tempo - NEAR);
  return found ?? Math.max(1, Math.round(tempo * (way > 0 ? 1.05 : 0.95)));
}

/* Hertz of a MIDI number in equal temperament, by the pitch of A4. */
export const hertz = (midi, a4) => a4 * 2 ** ((midi - 69) / 12);
