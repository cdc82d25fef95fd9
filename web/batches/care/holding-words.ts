import type { BatchHolding } from '../../../shared/wire/cuttings/holding.ts';
import { asSentence } from '../../../shared/words/plain.ts';
import { hoursText, type TemperatureUnit, temperatureWithUnit } from '../../common/format.ts';

type Limit = BatchHolding['limits'][number];
type WarmInBox = Extract<Limit, { kind: 'warm-in-box' }>;
type AfterOpening = Extract<Limit, { kind: 'after-opening' }>;

const DAY_HOURS = 24;

/** How long cuttings were held, most important first; each a sentence. */
export function heldWords(
  { hoursFromCut, hoursFromOpening, box }: BatchHolding,
  unit: TemperatureUnit,
): string[] {
  const times = [
    hoursFromOpening === null ? [] : [`Stuck ${hoursText(hoursFromOpening)} after the box was opened.`],
    hoursFromCut === null ? [] : [`Stuck ${hoursText(hoursFromCut)} after the cut.`],
  ].flat();
  if (times.length === 0)
    return ['How long they were held is not known: neither the cut nor the opening of a box is noted.'];
  return [...times, ...boxWords(box, unit)];
}

function boxWords(box: BatchHolding['box'], unit: TemperatureUnit): string[] {
  if (box === null)
    return ['How warm they were meanwhile is not known: no probe is named that lay in the box.'];
  const { hours, coveredHours, minC, meanC, maxC } = box;
  if (minC === null || meanC === null || maxC === null)
    return ['How warm they were meanwhile is not known: nothing was read in the box.'];
  const text = (valueC: number) => temperatureWithUnit(valueC, unit);
  return [
    `In the box ${text(minC)} to ${text(maxC)}, ${text(meanC)} on average, in ${hoursText(coveredHours)} on record of ${hoursText(hours)}.`,
  ];
}

const FROM_OPENING = 'counted from the opening of the box';

/** What is published for the crop, and whether it was kept. */
export function limitWords(
  { limits }: Pick<BatchHolding, 'limits'>,
  crop: string,
  unit: TemperatureUnit,
): string[] {
  if (limits.length === 0) return [`No limit of holding is published for ${crop}.`];
  return limits.map((limit) =>
    limit.kind === 'after-opening' ? openingWords(limit, crop) : warmWords(limit, crop, unit),
  );
}

function openingWords({ hours, source, verdict }: AfterOpening, crop: string): string {
  const limit = `${asSentence(crop)} is to be stuck within ${hours} h, ${FROM_OPENING} [${source}]`;
  return {
    within: `Within the limit. ${limit}.`,
    over: `Over the limit. ${limit}.`,
    'cannot-be-judged': `${limit}; whether it was cannot be judged: the opening is not noted.`,
    'does-not-apply': `${limit}. For wood cut at home no limit is published.`,
  }[verdict];
}

function warmWords(
  { temperatureC, inclusive, hours, heldHours, source, verdict }: WarmInBox,
  crop: string,
  unit: TemperatureUnit,
): string {
  const there = `${inclusive ? 'at or above' : 'above'} ${temperatureWithUnit(temperatureC, unit)}`;
  const limit = `${asSentence(crop)} is spoilt by ${hours / DAY_HOURS} days in the box ${there} [${source}]`;
  const seen = heldHours === null ? '' : `: ${hoursText(heldHours)} there on record`;
  return {
    within: `Within the limit. ${limit}${seen}.`,
    over: `Over the limit. ${limit}${seen}.`,
    'cannot-be-judged': `${limit}${seen}; whether it was longer cannot be judged: too little of the time is on record.`,
    'does-not-apply': `${limit}.`,
  }[verdict];
}

const LANTANA_WORDS =
  'Published for lantana alone, kept for 4 days at 20 °C: cut at 8, 12 and 16 h they shed 69, 22 and 8 % of their leaves [RAP07]. That is no advice for other crops.';

/** What the hour of the cut meant to the one crop in which it was measured. */
export function lantanaWords(unit: TemperatureUnit): string {
  return LANTANA_WORDS.replace('20 °C', temperatureWithUnit(20, unit));
}

/** The hour at which it was cut; null where it is not noted. */
export function cutHourWords({ cutHour }: Pick<BatchHolding, 'cutHour'>): string | null {
  return cutHour === null ? null : `Cut in the hour from ${String(cutHour).padStart(2, '0')}:00.`;
}
