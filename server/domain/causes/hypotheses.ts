import type { Signals } from './signals.ts';

/** What may have brought a place beyond a limit. */
export const CAUSES = [
  'sun-on-cover',
  'sun-on-sensor',
  'hot-room',
  'vent-open',
  'mat-off',
  'mat-runaway',
  'probe-out',
  'mist-stopped',
  'water-off',
  'mist-stuck',
  'cold-mist-water',
  'heater-out',
  'power-cut',
  'wet-probe',
] as const;
export type Cause = (typeof CAUSES)[number];

/** One thing that was seen or not: how much it speaks for a hypothesis, 0…1, and what it was. */
export type Evidence = { readonly weight: number; readonly words: string };

type Hypothesis = {
  /** what it looks like when it is so */
  readonly sentence: string;
  /** what would tell whether it is so */
  readonly toBeSure: string;
  readonly evidence: (signals: Signals) => readonly Evidence[];
};

/** 0 up to one value, 1 from another on, straight between; half where nothing is known. */
function grows(value: number | null, none: number, all: number): number {
  if (value === null) return 0.5;
  return Math.min(1, Math.max(0, (value - none) / (all - none)));
}

/** The same, where what is needed is measured at all. */
function measured(value: number | null, none: number, all: number): number {
  return value === null ? 0 : grows(value, none, all);
}

const k = (value: number | null) => (value === null ? '?' : value.toFixed(1));
const ofAir = (valueK: number | null) => course('air', valueK);
const ofRoot = (valueK: number | null) => course('root zone', valueK);

/** "air rose 1.3 °C", "root zone fell 0.4 °C". */
function course(what: string, valueK: number | null): string {
  if (valueK === null) return `course of the ${what} not known`;
  return `${what} ${valueK < 0 ? 'fell' : 'rose'} ${Math.abs(valueK).toFixed(1)} °C`;
}

const away = (value: number | null) => (value === null ? null : Math.abs(value));

/**
 * Each hypothesis by what must be seen for it: the weakest counts most. Limits are proposals of the project, chosen on
 * scenes of other seeds than those that are scored.
 */
export const HYPOTHESES: Readonly<Record<Cause, Hypothesis>> = {
  'sun-on-cover': {
    sentence: 'the sun has come on a closed cover',
    toBeSure: 'shade it; the air must fall within minutes',
    evidence: (s) => [
      {
        weight: measured(s.lightMovedUmol, 40, 150),
        words: `light up by ${s.lightMovedUmol?.toFixed(0) ?? '?'} µmol m⁻² s⁻¹ in 40 min`,
      },
      { weight: measured(s.airK, 0.5, 2), words: `${ofAir(s.airK)} in 30 min` },
      { weight: grows(s.airLeapK, 4.2, 3), words: 'the air warmed without a leap' },
      { weight: grows(s.vapour, -0.03, 0.06), words: 'water evaporated into the air' },
    ],
  },
  'sun-on-sensor': {
    sentence: 'the sun shines on the sensor itself',
    toBeSure: 'shade the sensor alone, or hold a second one beside it',
    evidence: (s) => [
      { weight: measured(s.lightUmol, 60, 200), words: 'there is strong light' },
      { weight: measured(s.airLeapK, 2.6, 3.6), words: `${ofAir(s.airLeapK)} within 5 min` },
      { weight: grows(away(s.vapour), 0.2, 0.1), words: 'the water in the air stayed the same' },
    ],
  },
  'hot-room': {
    sentence: 'the room around it is hot',
    toBeSure: 'measure the room; open it, not the cover',
    evidence: (s) => [
      {
        weight: measured(s.outsideK, 0.5, 1.5),
        words: `it is ${k(s.outsideK)} °C warmer around it than an hour ago`,
      },
      { weight: measured(s.airK, 0.2, 0.7), words: `${ofAir(s.airK)} in 30 min` },
      { weight: grows(s.lightMovedUmol, 100, 30), words: 'light did not rise' },
      { weight: grows(s.airOverOutsideK, 5, 2.5), words: 'the air is about as warm as what is around it' },
    ],
  },
  'vent-open': {
    sentence: 'a vent was left open',
    toBeSure: 'look at the cover',
    evidence: (s) => [
      { weight: grows(s.vapourLeap, -0.07, -0.14), words: 'water left the air within 5 min' },
      { weight: s.covered ? 1 : 0.2, words: s.covered ? 'it has a cover' : 'it has no cover' },
      { weight: grows(s.airK, 1.6, 0.4), words: `${ofAir(s.airK)} in 30 min` },
      { weight: grows(s.humidityMovedPct, -3, -8), words: 'humidity fell' },
    ],
  },
  'mat-off': {
    sentence: 'the heating mat is off',
    toBeSure: 'feel the mat; look at its plug and thermostat',
    evidence: (s) => [
      {
        weight: measured(s.rootK === null ? null : -s.rootK, 0.12, 0.4),
        words: `${ofRoot(s.rootK)} in 30 min`,
      },
      { weight: grows(s.rootOverAirBeforeK, 1, 2.5), words: 'the root zone was warmer than the air' },
      { weight: grows(away(s.airK), 1.6, 0.6), words: 'the air stayed as it was' },
      { weight: grows(away(s.rootLeapK), 1.4, 0.8), words: 'it fell slowly' },
      { weight: grows(s.rootFallOnPulseK ?? 0, 0.14, 0.06), words: 'it did not fall by the pulses of mist' },
    ],
  },
  'mat-runaway': {
    sentence: 'the mat does not stop heating',
    toBeSure: 'pull its plug; look where the thermostat’s probe lies',
    evidence: (s) => [
      { weight: measured(s.rootK, 0.15, 0.5), words: `${ofRoot(s.rootK)} in 30 min` },
      { weight: measured(s.rootOverAirK, 2.5, 5), words: `root zone ${k(s.rootOverAirK)} °C above the air` },
      { weight: grows(s.airK, 2, 1), words: 'the air did not lead' },
    ],
  },
  'probe-out': {
    sentence: 'the probe came out of the medium',
    toBeSure: 'look whether it still stands in the medium',
    evidence: (s) => [
      {
        weight: measured(away(s.rootLeapK), 0.9, 1.6),
        words: `${ofRoot(s.rootLeapK)} within 5 min`,
      },
      { weight: grows(away(s.rootOverAirK), 2.5, 1.2), words: 'it reads about what the air is' },
      { weight: grows(s.rootOverAirBeforeK, 1, 2.5), words: 'it was warmer before' },
    ],
  },
  'mist-stopped': {
    sentence: 'mist has stopped',
    toBeSure: 'look at the controller and its fuse',
    evidence: (s) => [
      { weight: measured(s.pulsesBefore, 1.5, 4), words: `${k(s.pulsesBefore)} pulses an hour before` },
      {
        weight: s.pulsesLately === null ? 0 : s.pulsesLately === 0 ? 1 : 0,
        words: 'none in the last 30 min',
      },
      { weight: grows(s.openShare, 0.2, 0.02), words: 'the valve is shut' },
      { weight: grows(s.humidityMovedPct, 1, -3), words: 'humidity falls' },
    ],
  },
  'water-off': {
    sentence: 'the valve clicks, but no water comes',
    toBeSure: 'look at a nozzle while the valve is open; then at tap, filter and pump',
    evidence: (s) => [
      { weight: measured(s.pulsesLately, 1.5, 4), words: 'the valve opens as before' },
      { weight: grows(s.answerBeforePct, 0.4, 1.1), words: 'humidity rose with each pulse before' },
      { weight: grows(answerShare(s), 0.55, 0.3), words: 'and does so no longer' },
      { weight: grows(s.humidityMovedPct, 2, -2), words: 'humidity falls' },
    ],
  },
  'mist-stuck': {
    sentence: 'the mist does not stop',
    toBeSure: 'close the tap; look whether the valve is stuck',
    evidence: (s) => [
      { weight: measured(s.openShare, 0.4, 0.8), words: 'the valve has been open for most of 15 min' },
      { weight: grows(s.humidityPct, 85, 93), words: 'the air is saturated' },
    ],
  },
  'cold-mist-water': {
    sentence: 'the mist water is cold',
    toBeSure: 'measure the water; lag or warm its pipe',
    evidence: (s) => [
      { weight: measured(s.rootFallOnPulseK, 0.06, 0.14), words: 'the root zone falls with each pulse' },
      { weight: measured(s.pulsesLately, 1.5, 4), words: 'the valve opens as before' },
      {
        weight: measured(s.rootK === null ? null : -s.rootK, 0.1, 0.3),
        words: `${ofRoot(s.rootK)} in 30 min`,
      },
    ],
  },
  'heater-out': {
    sentence: 'the heating of the room is out',
    toBeSure: 'feel the heater; look at its fuel and fuse',
    evidence: (s) => [
      { weight: measured(s.airK === null ? null : -s.airK, 0.35, 1), words: `${ofAir(s.airK)} in 30 min` },
      { weight: grows(s.airOverOutsideK, 1, 4), words: 'it is colder outside' },
      { weight: grows(s.rootK, 0.8, 0.2), words: 'the root zone did not warm' },
      { weight: grows(s.humidityMovedPct, -4, 2), words: 'humidity rose as it cooled' },
      { weight: grows(s.silentMin, 30, 12), words: 'readings went on' },
    ],
  },
  'power-cut': {
    sentence: 'the power was cut',
    toBeSure: 'look at clocks and fuses; ask who else was dark',
    evidence: (s) => [
      { weight: grows(s.silentMin, 10, 20), words: `nothing reported for ${s.silentMin.toFixed(0)} min` },
      {
        weight: grows(s.colderAfterSilenceK, 0.2, 0.8),
        words: `it was ${k(s.colderAfterSilenceK)} °C colder after it`,
      },
    ],
  },
  'wet-probe': {
    sentence: 'the humidity probe is wet',
    toBeSure: 'dry it, and hold a second one beside it',
    evidence: (s) => [
      { weight: measured(s.humidityPct, 95.5, 98), words: `it reads ${k(s.humidityPct)} %RH` },
      { weight: measured(s.airK, 0.5, 1.5), words: `though ${ofAir(s.airK)} in 30 min` },
      { weight: grows(s.openShare ?? 0, 0.5, 0.2), words: 'the mist is not on' },
    ],
  },
};

/** What is left of the answer of humidity to a pulse, as a share of what it was. */
function answerShare({ answerBeforePct, answerLatelyPct }: Signals): number | null {
  if (answerBeforePct === null || answerLatelyPct === null) return null;
  return answerLatelyPct / Math.max(0.5, answerBeforePct);
}
