/* Clicks and a drone in any audio context, live or rendered offline: times are those of the context. */

import { hertz, BAR, GROUP, BEAT, INSIDE } from "./beats.js";

const SOUNDS = { [BAR]: [1.0, 1760], [GROUP]: [0.7, 1320], [BEAT]: [0.45, 990], [INSIDE]: [0.2, 990] };
/* Of each strength its loudness and its pitch in hertz. House choices: the ear tells them apart. */
const CLICK_S = 0.03;
const FADE_S = 0.006;

const kept = new WeakMap();

/* The sound of one strength: a short tone that begins at once and dies away. */
function soundOf(context, strength) {
  if (!kept.has(context)) kept.set(context, {});
  const sounds = kept.get(context);
  if (!sounds[strength]) {
    const [loudness, pitch] = SOUNDS[strength];
    const rate = context.sampleRate;
    const buffer = context.createBuffer(1, Math.ceil(CLICK_S * rate), rate);
    const data = buffer.getChannelData(0);
    for (let at = 0; at < data.length; at += 1) {
      const seconds = at / rate;
      data[at] = loudness * Math.cos(2 * Math.PI * pitch * seconds) * Math.exp(-seconds / FADE_S);
    }
    sounds[strength] = buffer;
  }
  return sounds[strength];
}

/* Hands clicks to the audio clock a little ahead of their time; start is when the first is due. */
export class Scheduler {
  constructor(context, output, clicks, start) {
    Object.assign(this, { context, output, clicks, start, next: 0, waiting: [] });
  }

  /* Schedule every click that is due before a time of the context. */
  fill(until) {
    while (this.next < this.clicks.length && this.start + this.clicks[this.next].at < until) {
      const click = this.clicks[this.next];
      const source = this.context.createBufferSource();
      source.buffer = soundOf(this.context, click.strength);
      source.connect(this.output);
      source.start(this.start + click.at);
      this.waiting.push({ source, due: this.start + click.at });
      this.next += 1;
    }
    this.waiting = this.waiting.filter(({ due }) => due > this.context.currentTime - 1);
  }

  /* Take back what has not sounded by a time. */
  cancel(from) {
    for (const { source, due } of this.waiting) if (due > from) source.disconnect();
    this.waiting = this.waiting.filter(({ due }) => due <= from);
  }
}

const DRONE = 0.07;
const SWELL_S = 0.8;
/* Loudness of the drone and how long it takes to come and go. House choices: below talking. */

/* A soft lasting tone, faded in at a time; stop(at) fades it out. */
export function drone(context, output, midi, a4, at) {
  const gain = context.createGain();
  gain.gain.setValueAtTime(0, at);
  gain.gain.linearRampToValueAtTime(DRONE, at + SWELL_S);
  gain.connect(output);
  const tones = [["triangle", 1, 1], ["sine", 2, 0.3]].map(([type, times, share]) => {
    const tone = context.createOscillator();
    const part = context.createGain();
    tone.type = type;
    tone.frequency.value = hertz(midi, a4) * times;
    part.gain.value = share;
    tone.connect(part).connect(gain);
    tone.start(at);
    return tone;
  });
  return {
    stop(when) {
      gain.gain.cancelScheduledValues(when);
      gain.gain.setTargetAtTime(0, when, SWELL_S / 4);
      for (const tone of tones) tone.stop(when + 2 * SWELL_S);
    },
  };
}
