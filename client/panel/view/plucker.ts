/** How long a string is heard at most, in seconds. */
const longestSeconds = 3;

/**
 * Plucked strings by Web Audio. Each pitch is made once: a burst of noise goes round a delay line that damps it.
 * Source: Karplus and Strong, "Digital Synthesis of Plucked-String and Drum Timbres", Computer Music Journal 7(2), 1983.
 */
export class Plucker {
  #audio: AudioContext | undefined;
  readonly #strings = new Map<number, AudioBuffer>();
  /** What sounds or will: a string that is plucked again stops sounding before. */
  readonly #sounding = new Map<number, GainNode>();

  /** Makes ready to sound; browsers allow that only when the user has just done something. */
  open(): void {
    this.#audio ??= new AudioContext();
    void this.#audio.resume();
  }

  /** Plucks a string. @param inSeconds from now. */
  pluck(midi: number, inSeconds: number): void {
    const audio = this.#audio;
    if (!audio) return;
    const at = audio.currentTime + inSeconds;
    this.#sounding.get(midi)?.gain.setTargetAtTime(0, at, 0.01);
    const source = audio.createBufferSource();
    source.buffer = this.#string(audio, midi);
    // A whole number of samples goes round, and half a one more in the damping: the rest is put right here.
    const period = periodSamples(audio, midi);
    source.playbackRate.value = (lineLength(period) + 0.5) / period;
    const gain = audio.createGain();
    gain.gain.value = 0.25;
    source.connect(gain).connect(audio.destination);
    source.start(at);
    this.#sounding.set(midi, gain);
    source.addEventListener("ended", () => {
      gain.disconnect();
      if (this.#sounding.get(midi) === gain) this.#sounding.delete(midi);
    });
  }

  /** Lays the hands on the strings. */
  quiet(): void {
    const now = this.#audio?.currentTime ?? 0;
    for (const gain of this.#sounding.values()) {
      gain.gain.cancelScheduledValues(now);
      gain.gain.setTargetAtTime(0, now, 0.05);
    }
    this.#sounding.clear();
  }

  #string(audio: AudioContext, midi: number): AudioBuffer {
    const known = this.#strings.get(midi);
    if (known) return known;
    const rate = audio.sampleRate;
    const buffer = audio.createBuffer(1, Math.round(rate * longestSeconds), rate);
    const samples = buffer.getChannelData(0);
    const length = lineLength(periodSamples(audio, midi));
    let before = 0;
    for (let i = 0; i < length; i += 1) {
      // Softened noise: a finger's flesh, not a plectrum.
      before = 0.6 * before + 0.4 * (Math.random() * 2 - 1);
      samples[i] = before;
    }
    for (let i = length; i < samples.length; i += 1) {
      samples[i] = 0.998 * 0.5 * (samples[i - length]! + samples[Math.max(0, i - length - 1)]!);
    }
    const fadeFrom = Math.round(samples.length * 0.7);
    for (let i = fadeFrom; i < samples.length; i += 1)
      samples[i]! *= 1 - (i - fadeFrom) / (samples.length - fadeFrom);
    this.#strings.set(midi, buffer);
    return buffer;
  }
}

function periodSamples({ sampleRate }: AudioContext, midi: number): number {
  return sampleRate / (440 * 2 ** ((midi - 69) / 12));
}

function lineLength(period: number): number {
  return Math.max(2, Math.round(period));
}
