// The beat to hear. Each foot has a pitch and a side of its own: hinds low, fores high, left feet left, right feet right.
//
//   const sound = new Sound();
//   sound.loop({LH: 0, LF: 0.25, RH: 0.5, RF: 0.75}, 0.6);    // shares of a stride, seconds in a stride
//   sound.along([{limb: "LH", time_s: 1.2}, …]);              // beats on the film's clock
//   sound.passed(time_s, playing);                            // the film is here now: what was passed is struck
//   sound.stop();

const PITCH_HZ = { LH: 196, RH: 233, LF: 392, RF: 466 };
const SIDE = { L: -0.8, R: 0.8 };
const AHEAD_S = 0.25;
const LOOK_MS = 80;
const LONGEST_S = 0.5;

export class Sound {
  #audio = null;
  #timer = 0;
  #beats = [];
  #last = null;

  get looping() { return this.#timer !== 0; }

  loop(offsets, stride_s, { tick = false } = {}) {
    this.stop();
    const audio = this.#opened();
    const feet = Object.entries(offsets);
    const zero = audio.currentTime + 0.1;
    const next = new Map(feet.map(([limb, share]) => [limb, zero + share * stride_s]));
    const look = () => {
      for (const [limb] of feet) {
        while (next.get(limb) < audio.currentTime + AHEAD_S) {
          this.#strike(limb, next.get(limb), tick);
          next.set(limb, next.get(limb) + stride_s);
        }
      }
    };
    look();
    this.#timer = setInterval(look, LOOK_MS);
  }

  along(beats) {
    this.#beats = [...beats].sort((a, b) => a.time_s - b.time_s);
    this.#last = null;
    if (beats.length) this.#opened();
  }

  passed(time_s, playing) {
    const from = this.#last;
    this.#last = playing ? time_s : null;
    if (!playing || from === null || time_s <= from || time_s - from > LONGEST_S) return;
    for (const beat of this.#beats) {
      if (beat.time_s > from && beat.time_s <= time_s) this.#strike(beat.limb, this.#audio.currentTime, false);
    }
  }

  stop() {
    clearInterval(this.#timer);
    this.#timer = 0;
  }

  // Browsers let sound begin only after a press, so it is opened then.
  #opened() {
    this.#audio ??= new AudioContext();
    this.#audio.resume();
    return this.#audio;
  }

  #strike(limb, at_s, tick) {
    const audio = this.#audio;
    const tone = new OscillatorNode(audio, { type: tick ? "square" : "triangle", frequency: tick ? 1200 : PITCH_HZ[limb] * 1.5 });
    const loud = new GainNode(audio, { gain: 0 });
    const side = new StereoPannerNode(audio, { pan: tick ? 0 : SIDE[limb[0]] });
    const long_s = tick ? 0.03 : 0.16;
    if (!tick) tone.frequency.exponentialRampToValueAtTime(PITCH_HZ[limb], at_s + 0.05);
    loud.gain.setValueAtTime(0, at_s);
    loud.gain.linearRampToValueAtTime(tick ? 0.25 : 0.7, at_s + 0.004);
    loud.gain.exponentialRampToValueAtTime(0.001, at_s + long_s);
    tone.connect(loud).connect(side).connect(audio.destination);
    tone.start(at_s);
    tone.stop(at_s + long_s + 0.02);
  }
}
