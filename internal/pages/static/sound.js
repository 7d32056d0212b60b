// Three tones of our own: taken, a contradiction, a lost line. Each is also shown.
// They are off until the person turns them on under settings.

/** Frequency in Hz, beginning and length in s. @type {Record<string, [number, number, number][]>} */
const tones = {
  taken: [[660, 0, 0.07], [880, 0.07, 0.09]],
  clash: [[330, 0, 0.14], [247, 0.18, 0.14], [330, 0.36, 0.2]],
  lost: [[440, 0, 0.12], [330, 0.14, 0.12], [220, 0.28, 0.3]],
};

/** @type {AudioContext | null} */
let audio = null;

/** @param {string} name */
export function sound(name) {
  if (document.documentElement.dataset.sound !== "on") return;
  audio ??= new AudioContext();
  for (const [hz, from, long] of tones[name] ?? []) {
    const tone = audio.createOscillator();
    const level = audio.createGain();
    const at = audio.currentTime + from;
    tone.type = "triangle";
    tone.frequency.value = hz;
    level.gain.setValueAtTime(0, at);
    level.gain.linearRampToValueAtTime(0.2, at + 0.01); // no click at either end
    level.gain.setValueAtTime(0.2, at + long - 0.02);
    level.gain.linearRampToValueAtTime(0, at + long);
    tone.connect(level).connect(audio.destination);
    tone.start(at);
    tone.stop(at + long);
  }
}
