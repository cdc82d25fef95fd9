import { FINDINGS, type Finding, type FindingKind } from '../model/probes/finding.ts';
import { clock, duration, type Reader } from './alarm.ts';

type FindingWords = {
  /** which probe, what, since when and until when */
  readonly headline: string;
  /** the numbers that say so */
  readonly why: string;
  /** what happens to its readings */
  readonly counted: string;
  /** what to do first */
  readonly action: string;
};

/** What a finding says to a grower, the same on the page, in a message and over HTTP. */
export function findingWords(finding: Finding, reader: Reader): FindingWords {
  const { name, leftOut } = FINDINGS[finding.finding];
  return {
    headline: `${finding.probe}: ${name}${spanWords(finding, reader)}.`,
    why: WHY[finding.finding](finding, reader),
    counted: leftOut
      ? 'These readings are kept and shown, and left out of exposures: they are no measurement.'
      : 'These readings are kept, marked, and counted as they came.',
    action: ACTION[finding.finding],
  };
}

function spanWords({ sinceMs, untilMs, orEarlier }: Finding, reader: Reader): string {
  const since = `since ${clock(sinceMs, reader)}${orEarlier ? ' or earlier' : ''}`;
  if (untilMs === null) return `, ${since}`;
  if (untilMs - sinceMs < 60_000) return `, at ${clock(sinceMs, reader)}`;
  const from = `from ${clock(sinceMs, reader)}${orEarlier ? ' or earlier' : ''}`;
  return `, ${from} to ${clock(untilMs, reader)}`;
}

type Why = (finding: Finding, reader: Reader) => string;

const WHY: Readonly<Record<FindingKind, Why>> = {
  'power-up': (finding, reader) =>
    `${times(finding.readings)} it read exactly ${value(finding, finding.facts.seen, reader)}, which a one-wire probe holds from power-up until it first measures; ${beside(finding, reader)}.`,
  disconnected: (finding, reader) =>
    `${times(finding.readings)} it read ${value(finding, finding.facts.seen, reader)}, which stands for a one-wire probe that does not answer; ${beside(finding, reader)}.`,
  'beyond-range': (finding, reader) =>
    `${times(finding.readings)} it read as far as ${value(finding, finding.facts.seen, reader)}; such a chip reads to ${value(finding, finding.facts.limit, reader)} at most.`,
  jump: (finding, reader) =>
    `${times(finding.readings)} a single reading leapt away and back by ${change(finding, finding.facts.seen, reader)} or less; ${change(finding, finding.facts.limit, reader)} from one reading to the next is more than this climate does.`,
  flat: (finding, reader) =>
    `Read exactly ${value(finding, finding.facts.seen, reader)} for ${hours(finding.facts.other)} without changing.`,
  'humidity-stuck': (finding, reader) =>
    `It stood at ${value(finding, finding.facts.seen, reader)} or above for ${hours(finding.facts.other)}; after ${hours(finding.facts.limit)} a wet sensor is more likely than wet air, and nobody can tell the two apart.`,
  'humidity-zero': (finding) => `It read 0 %RH for ${hours(finding.facts.other)}; no air is as dry as that.`,
  'sun-on-sensor': (finding, reader) =>
    `In bright light (${(finding.facts.other ?? 0).toFixed(0)} µmol m⁻² s⁻¹) it read ${change(finding, finding.facts.seen, reader)} warmer against ${other(finding)} than in the dark.`,
  disagreement: (finding, reader) =>
    `It lay ${change(finding, finding.facts.seen, reader)} ${finding.facts.seen < 0 ? 'below' : 'above'} ${other(finding)} for ${hours(finding.facts.other)}; ${change(finding, finding.facts.limit, reader)} is the most two sound probes at one place should.${finding.facts.otherProbe === null ? '' : ' Which of the two is wrong cannot be seen from here.'}`,
  drift: (finding, reader) =>
    `In ${finding.facts.other ?? 0} days it moved ${change(finding, finding.facts.seen, reader)} ${finding.facts.seen < 0 ? 'down' : 'up'} against ${other(finding)}.${finding.facts.otherProbe === null ? '' : ' Which of the two moved cannot be seen from here.'}`,
  'wet-sensor': (finding, reader) =>
    `It stayed at its top for ${duration((finding.facts.other ?? 0) * 60_000)} after the last mist though the air warmed by ${change({ ...finding, quantity: 'air/temperature' }, finding.facts.seen, reader)}, which should have dried it.`,
  swapped: (finding, reader) => {
    const temperature = { ...finding, quantity: 'air/temperature' };
    return `In a day the root-zone probe moved ${change(temperature, finding.facts.seen, reader)} and the air probe ${change(temperature, finding.facts.other, reader)}, and the root zone was the colder: the other way round from how a medium behaves.`;
  },
  'clock-adrift': ({ facts }) => {
    const span = duration(Math.abs(facts.seen) * 1000);
    return facts.seen > 0
      ? `Its readings carry times ${span} after they arrived.`
      : `Its readings arrive ${span} after the times they carry, every time alike.`;
  },
};

const ACTION: Readonly<Record<FindingKind, string>> = {
  'power-up':
    'Look at its plug and supply: it loses power or is read too soon. Wait 0.75 s after asking it to convert.',
  disconnected: 'Look at its plug and cable for water and a broken wire, and at its pull-up resistor.',
  'beyond-range': 'Look at its plug and cable; if they are sound, change the probe.',
  jump: 'Look for a loose plug, a long unscreened cable, or a pump or lamp switching beside it.',
  flat: 'Warm the probe in your hand: if the value does not follow, switch it off and on, then change it.',
  'humidity-stuck':
    'Open the cover for a few minutes: a live probe falls at once. If it does not, dry it, and shield it from mist.',
  'humidity-zero': 'Look at its plug and supply; if they are sound, change the probe.',
  'sun-on-sensor':
    'Shade it from all sides and let air pass through the shade. Judge the cuttings by the other probe.',
  disagreement:
    'Put both side by side for an hour. If they still differ, check them against ice or salt; if not, one was in the wrong spot.',
  drift: 'Check both against melting ice, or against salt for humidity, and change the one that is off.',
  'wet-sensor': 'Shake or wipe the drop off, and hang the probe out of the spray, open side down.',
  swapped:
    'Hold the root-zone probe in your hand and see which of the two rises; then swap their names or their places.',
  'clock-adrift': 'Set the device to fetch the time from the network at start and once a day.',
};

function times(readings: number): string {
  return readings === 1 ? 'Once' : `${readings} times`;
}

function beside({ facts, ...finding }: Finding, reader: Reader): string {
  if (facts.other === null) return 'it reported nothing else in this time';
  return `other readings at that time: ${value({ ...finding, facts }, facts.other, reader)}`;
}

function other({ facts }: Finding): string {
  return facts.otherProbe ?? 'the other probes there';
}

function hours(count: number | null): string {
  return duration((count ?? 0) * 3_600_000);
}

function value({ quantity }: Finding, seen: number | null, { unit }: Reader): string {
  if (seen === null) return '–';
  if (!quantity.endsWith('/temperature')) return `${seen.toFixed(1)} %RH`;
  const shown = unit === 'C' ? seen : (seen * 9) / 5 + 32;
  return `${shown.toFixed(1).replace('-', '−')} °${unit}`;
}

function change({ quantity }: Finding, seen: number | null, { unit }: Reader): string {
  const size = Math.abs(seen ?? 0);
  if (!quantity.endsWith('/temperature')) return `${size.toFixed(1)} %RH`;
  return `${(unit === 'C' ? size : (size * 9) / 5).toFixed(1)} °${unit}`;
}
