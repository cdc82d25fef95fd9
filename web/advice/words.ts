import type { HeatPaid, MistAdvice, WouldHaveHelped } from '../../shared/wire/places/advice.ts';
import { difference, duration, type Reader } from '../../shared/words/plain.ts';
import { fixed, temperatureWithUnit } from '../common/format.ts';

type Timer = MistAdvice['timers'][number];

export const TIMER_NAMES: Readonly<Record<Timer['timer'], string>> = {
  fixed: 'as now, fixed',
  stepped: 'in steps by light',
  advised: 'as advised',
};

/** How often to mist, in one sentence, or why nothing is advised. */
export function mistSentence(advice: MistAdvice): string {
  const { reason, timers, waterSavedShare, everyMin } = advice;
  switch (reason) {
    case 'no-air':
      return 'No advice on mist: it needs probes of air temperature and humidity.';
    case 'no-light':
      return 'No advice on mist: it needs a light probe, as light dries leaves more than anything else.';
    case 'no-interval':
      return 'No advice on mist: no interval is stated, and none could be read from the record.';
    case 'too-little':
      return 'No advice on mist yet: it needs a day of air and light on record.';
    default:
  }
  const advised = timers.find(({ timer }) => timer === 'advised');
  const by = (of: Timer['light']) =>
    of &&
    `every ${long(of.middleMin)}${of.fromMin === of.toMin ? '' : ` (${long(of.fromMin)} to ${long(of.toMin)})`}`;
  const day = by(advised?.light ?? null) ?? 'not at all';
  const night = by(advised?.dark ?? null) ?? 'not at all';
  const now = everyMin === null ? '' : ` It is every ${long(everyMin)} now.`;
  return `Mist in light ${day}, in the dark ${night}.${now}${waterWords(waterSavedShare)}`;
}

function long(minutes: number): string {
  return duration(minutes * 60_000);
}

function waterWords(share: number | null): string {
  if (share === null) return '';
  const pct = Math.round(Math.abs(share) * 100);
  return share >= 0 ? ` That would take ${pct} % less water.` : ` That would take ${pct} % more water.`;
}

/** What a shade or a vent would have done yesterday, in one sentence, or why it is not said. */
export function helpedSentence(answer: WouldHaveHelped, reader: Reader): string {
  const { what, transmission, as, would, skill, reason } = answer;
  const name =
    what === 'vent'
      ? 'An hour’s vent at the peak'
      : `A shade that lets ${percent(transmission ?? 1)} through`;
  const k = (value: number) => `${difference(value, reader)} °${reader.unit}`;
  switch (reason) {
    case 'no-probes':
      return what === 'vent'
        ? `${name}: not known without a probe of the air outside.`
        : `${name}: not known without probes of air and of light.`;
    case 'learning':
      return `${name}: not known yet. It needs three whole days on which the air follows the light.`;
    case 'no-day':
      return `${name}: not known, as half of yesterday is not on record.`;
    case 'no-vents':
      return `${name}: not known, as an hour of open vents is not on record here.`;
    case 'no-skill':
      return `${name}: not said. On ${skill?.days ?? 0} earlier days the model was off by ${k(skill?.maeK ?? 0)}, “as the day before” by ${k(skill?.beforeMaeK ?? 0)}.`;
    default:
  }
  if (!as || !would) return '';
  const value = (valueC: number) => temperatureWithUnit(valueC, reader.unit);
  const span = `${value(would.low80C)} to ${value(would.high80C)}`;
  const hours = `${fixed(would.hoursOverCeiling, 1)} h over its ceiling in place of ${fixed(as.hoursOverCeiling, 1)} h`;
  return `${name} would have kept yesterday’s peak at ${value(would.peakC)} (${span}) in place of ${value(as.peakC)}, and ${hours}.`;
}

function percent(share: number): string {
  return `${Math.round(share * 100)} % of the light`;
}

/** What bottom heat cost, in one sentence, or why it is not known. */
export function heatSentence(paid: HeatPaid): string {
  const { reason, kWh, heldKh, days, wattHoursPerKh, rooted, kWhPerRooted, how } = paid;
  if (reason === 'no-root-zone')
    return 'Bottom heat: not known without probes of the root zone and of the air.';
  if (kWh === null)
    return 'Bottom heat: its power is not measured. State the watts of the mat to have an estimate.';
  const covered = days.filter(({ coveredHours }) => coveredHours > 0).length;
  const mean = covered === 0 ? 0 : kWh / covered;
  const estimate = how === 'duty' ? ', an estimate from how often the root zone was heated' : '';
  const held =
    wattHoursPerKh === null
      ? ''
      : ` It kept the root zone above the air for ${fixed(heldKh, 0)} K·h: ${fixed(wattHoursPerKh, 1)} Wh each.`;
  const each =
    kWhPerRooted === null
      ? ' No count of rooted cuttings is entered yet.'
      : ` That is ${fixed(kWhPerRooted * 1000, 0)} Wh for each of ${rooted} rooted cuttings.`;
  return `Bottom heat took ${fixed(kWh, 1)} kWh, ${fixed(mean, 2)} kWh a day${estimate}.${held}${each}`;
}
