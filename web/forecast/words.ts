import type { EarlyNotices, ForecastAnswer } from '../../shared/wire/places/forecast.ts';
import { difference, type Reader } from '../../shared/words/plain.ts';
import { temperatureWithUnit } from '../common/format.ts';
import { clockTime } from '../common/time.ts';

/** A sentence whose middle is an estimate. */
type Estimate = { readonly estimate: string; readonly rest: string };

const NAMES = { airTemperatureC: 'Air', rootZoneTemperatureC: 'Root zone' } as const;

/** What a forecast says, in one sentence; null where it is not shown. */
export function forecastSentence(
  answer: ForecastAnswer,
  { byDay }: { byDay: boolean },
  reader: Reader,
): Estimate | null {
  const { limit, points, shown, newest } = answer;
  const last = points.at(-1);
  if (!shown || !last || newest === null) return null;
  const at = (text: string) => clockTime({ atMs: Date.parse(text), timeZone: reader.timeZone });
  const name = NAMES[answer.quantity];
  const value = (valueC: number) => temperatureWithUnit(valueC, reader.unit);
  const later = `${value(last.value)} at ${at(last.t)} (${value(last.low80)} to ${value(last.high80)})`;
  if (limit === null) return { estimate: `${name} ${later}`, rest: '.' };
  const [to, within] =
    limit.kind === 'air-over-ceiling'
      ? [`reaches its ceiling of ${value(limit.value)}`, 'below its ceiling']
      : [`falls below its band, which begins at ${value(limit.value)},`, 'within its band'];
  if (limit.reachedAt === answer.at)
    return { estimate: `${name} ${later}`, rest: '; it is beyond its limit now.' };
  if (limit.reachedAt !== null && limit.earliest !== null) {
    const latest = limit.latest === null ? ' or later' : `–${at(limit.latest)}`;
    const when = `${at(limit.reachedAt)} (${at(limit.earliest)}${latest})`;
    const sun = byDay && limit.kind === 'air-over-ceiling' ? ' if the sun stays' : '';
    return { estimate: `${name} ${to} at ${when}`, rest: `${sun}.` };
  }
  if (limit.earliest !== null)
    return {
      estimate: `${name} ${later}`,
      rest: `; it stays ${within} in most cases, else until ${at(limit.earliest)}.`,
    };
  return { estimate: `${name} ${later}`, rest: `; it stays ${within}.` };
}

/** How good the forecasts were, or why none is shown; empty where there is nothing to say. */
export function skillSentence({ shown, reason, skill }: ForecastAnswer, reader: Reader): string {
  const off = (maeK: number) => `${difference(maeK, reader)} °${reader.unit}`;
  const fine = (maeK: number) => (maeK < 0.1 ? `less than ${off(0.1)}` : off(maeK));
  const over = skill && (skill.days === 1 ? 'on the last day' : `in the last ${skill.days} days`);
  const compared = skill
    ? `an hour ahead it was off by ${fine(skill.maeK)} on average, “as now” by ${fine(skill.persistenceMaeK)}, a straight line by ${fine(skill.lineMaeK)}`
    : '';
  if (shown) return `An estimate from the record of this place alone: ${over} ${compared}.`;
  switch (reason) {
    case 'no-skill':
      return `No forecast is shown: ${over} it was no better than “as now” or a straight line (${compared}).`;
    case 'learning':
      return 'No forecast yet: it needs three days of readings.';
    case 'unusual':
      return 'No forecast now: it is far from where it was in the last three weeks, so nothing is known of how it goes on.';
    case 'no-recent-reading':
      return 'No forecast now: the newest reading is too old, or there is a gap before it.';
    default:
      return '';
  }
}

const NOTICE_WORDS = {
  'ceiling-expected': { about: 'the ceiling', came: 'the air went over its ceiling' },
  'root-floor-expected': { about: 'a cold root zone', came: 'the root zone fell below its band' },
  'film-drying-expected': { about: 'leaves that dry', came: 'the leaves dried before the next mist' },
} as const satisfies Record<EarlyNotices['rule'], { about: string; came: string }>;

/** How the early notices of a place did. */
export function noticesSentence(notices: EarlyNotices): string {
  const { hits, misses, wrong, averted, medianLeadMin, heldBack, days } = notices;
  const lead = medianLeadMin === null ? '' : `, ${Math.round(medianLeadMin)} min ahead in the middle`;
  const answered = averted === 0 ? '' : `; ${averted} did not come true after somebody answered`;
  const { about, came } = NOTICE_WORDS[notices.rule];
  const missed = `${misses} ${misses === 1 ? 'time' : 'times'} ${came} without one`;
  const counted = `${hits} came true${lead}; ${wrong} did not${answered}; ${missed}`;
  const held = heldBack ? ' More than one in four was wrong: none is given until that is over.' : '';
  return `Early notices about ${about}, last ${days} days: ${counted}.${held}`;
}
