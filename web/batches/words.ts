import type { StageId } from '../../shared/model/cuttings/sheet.ts';
import type {
  Batch,
  BatchThermalTime,
  CountView,
  Strike,
  StrikeDifference,
} from '../../shared/wire/cuttings/batches.ts';
import { asSentence, duration, type Reader } from '../../shared/words/plain.ts';
import {
  degreeHoursText,
  fixed,
  hoursText,
  type TemperatureUnit,
  temperatureWithUnit,
} from '../common/format.ts';
import { calendarDay, momentWords, wallTime } from '../common/time.ts';

/** How people read the time: zone of the installation and the present, ms since epoch. */
export type At = Pick<Reader, 'timeZone' | 'nowMs'>;

/** The stages in order, as a person reads them. */
export const STAGE_NAMES: Readonly<Record<StageId, { readonly name: string; readonly until: string }>> = {
  sticking: { name: 'Sticking', until: 'until callus shows' },
  callusing: { name: 'Callusing', until: 'until roots show' },
  rooting: { name: 'Rooting', until: 'until most stand the tug test' },
  toning: { name: 'Toning', until: 'until they are potted on' },
};
/** In order. */
export const STAGE_ORDER = Object.keys(STAGE_NAMES) as StageId[];

const DAY_MS = 86_400_000;
const NO_BREAK = '\u00a0';

/** A name people know it by: `Poinsettia ‘Early Red’`. */
export function batchName({ crop, cultivar }: Pick<Batch, 'crop' | 'cultivar'>): string {
  const name = asSentence(crop);
  return cultivar === null ? name : `${name} ‘${cultivar}’`;
}

/** Local calendar days from sticking to a time: 0 on the day itself. */
function daysSinceSticking({ stuckAt }: Pick<Batch, 'stuckAt'>, { timeZone, nowMs }: At): number {
  const dayOf = (atMs: number) => Date.parse(`${wallTime({ atMs, timeZone }).slice(0, 10)}T00:00Z`);
  return Math.round((dayOf(nowMs) - dayOf(Date.parse(stuckAt))) / DAY_MS);
}

/** `day 12`, counted to its end once it is closed. */
export function dayWords(batch: Pick<Batch, 'stuckAt' | 'closedAt'>, at: At): string {
  const nowMs = batch.closedAt === null ? at.nowMs : Date.parse(batch.closedAt);
  return `day ${daysSinceSticking(batch, { ...at, nowMs })}`;
}

/** What stage it is in, and since when: `Rooting since 3 Dec, 10:05 (6 d 2 h)`. */
export function stageWords({ stage, stages, closedAt }: Batch, at: At): string {
  const { name } = STAGE_NAMES[stage];
  const from = stages.findLast((one) => one.stage === stage)?.from;
  if (closedAt !== null) return `Closed ${moment(closedAt, at)}, in the stage ${name.toLowerCase()}`;
  if (from === undefined) return name;
  const lastsMs = Math.max(at.nowMs - Date.parse(from), 0);
  return `${name} since ${moment(from, at)} (${duration(lastsMs)})`;
}

/** A time as people say it. */
export function moment(time: string, at: At): string {
  return momentWords({ atMs: Date.parse(time), ...at });
}

/** A calendar day: `12 Dec`. */
export function dayOf(time: string, { timeZone }: At): string {
  return calendarDay({ atMs: Date.parse(time), timeZone });
}

/** `23 Nov, 10:05 to now`, or to when it was closed. */
export function spanWords(
  { from, to }: { readonly from: string; readonly to: string | null },
  { closedAt }: Pick<Batch, 'closedAt'>,
  at: At,
): string {
  return `${moment(from, at)} to ${endWords({ to }, { closedAt }, at)}`;
}

/** When something ended: `now` while it lasts in an open batch. */
export function endWords(
  { to }: { readonly to: string | null },
  { closedAt }: Pick<Batch, 'closedAt'>,
  at: At,
): string {
  const end = to ?? closedAt;
  return end === null ? 'now' : moment(end, at);
}

/** What is due next and when; null where nothing is known of it. */
export function dueWords({ due }: Pick<Batch, 'due'>, at: At): string | null {
  if (due === null) return null;
  const { name } = STAGE_NAMES[due.stage];
  const [from, to] = [dayOf(due.from, at), dayOf(due.to, at)];
  const span = from === to ? from : `${from} to ${to}`;
  return {
    ahead: `${name} is expected ${span}`,
    due: `${name} is due (${span})`,
    late: `${name} was expected by ${to}`,
  }[due.state];
}

/** `80 %` */
export function percent(share: number): string {
  return `${fixed(100 * share, 0)}${NO_BREAK}%`;
}

/** `40 of 50 rooted: 80 %, between 67 and 89 %` */
export function strikeWords({ looked: counted, rooted, share, low95, high95 }: Strike): string {
  const [low, high] = [fixed(100 * low95, 0), fixed(100 * high95, 0)];
  return `${rooted} of ${counted} rooted: ${percent(share)}, between ${low} and ${high}${NO_BREAK}%`;
}

/** What the interval of a strike means, once on a page. */
export const STRIKE_NOTE =
  'The range holds the true share of the whole batch in 95 of 100 cases (Wilson), if the cuttings counted were taken at random.';

/** How two batches differ in strike: a better one is named only where the counts tell them apart. */
export function differenceWords(
  { difference, low95, high95, better }: StrikeDifference,
  [first, second]: readonly [Pick<Batch, 'id'> & { name: string }, Pick<Batch, 'id'> & { name: string }],
): string {
  const points = (share: number) => fixed(100 * share, 0);
  if (better === null) {
    const [least, most] = difference < 0 ? [-high95, -low95] : [low95, high95];
    return `The counts do not tell them apart: they differ by ${points(Math.abs(difference))} percentage points, and anything from ${points(least)} to ${points(most)} would fit. Counting more cuttings would narrow it.`;
  }
  const [winner, loser] = better === first.id ? [first, second] : [second, first];
  const ends = better === first.id ? [low95, high95] : [-high95, -low95];
  const [low = 0, high = 0] = ends;
  return `${winner.name} struck better than ${loser.name}: by ${points(Math.abs(difference))} percentage points, between ${points(low)} and ${points(high)}.`;
}

/** Where one of two was not counted. */
export const NO_COUNT_TO_COMPARE = 'Their strike cannot be compared: one of them was not counted yet.';

/** Number and noun: `1 cutting`, `50 cuttings`. */
export function cuttings(n: number): string {
  return n === 1 ? '1 cutting' : `${n} cuttings`;
}

/** `3 rot, 1 other` */
export function lossWords(lost: CountView['lost']): string {
  return lost.map(({ cause, n }) => `${n} ${cause}`).join(', ');
}

/** `183 (120 A, 50 B)`; null where nobody noted it */
export function pottedWords({ potted, grades }: Pick<CountView, 'potted' | 'grades'>): string | null {
  if (potted === null) return null;
  const of = grades.map(({ grade, n }) => `${n} ${grade}`).join(', ');
  return of === '' ? String(potted) : `${potted} (${of})`;
}

/** How much thermal time it gathered in the root zone, or why none is counted. */
export function thermalTimeWords(thermalTime: BatchThermalTime, unit: TemperatureUnit): string {
  const { baseC, optimumC, stopC, degreeHours, coveredHours, source, reason } = thermalTime;
  if (degreeHours === null || coveredHours === null || baseC === null)
    return `No thermal time is counted${reason === null ? '' : `: ${reason}`}.`;
  const text = (valueC: number) => temperatureWithUnit(valueC, unit);
  const limits = [
    `above ${text(baseC)}`,
    ...(optimumC === null ? [] : [`fastest at ${text(optimumC)}`]),
    ...(stopC === null ? [] : [`none from ${text(stopC)} on`]),
  ].join(', ');
  const cited = source === null ? '' : ` [${source}]`;
  return `Thermal time of the root zone: ${degreeHoursText(degreeHours, unit)} (${limits})${cited}, in ${hoursText(coveredHours)} on record.`;
}

/** Causes for which cuttings are lost, offered when they are counted. */
export const LOSS_CAUSES = ['rot', 'dried out', 'leaf drop', 'pest', 'other'] as const;

/** Grades of those potted on, offered when they are counted. */
export const GRADES = ['A', 'B', 'C'] as const;

/** Names of what may be written down about a batch. */
export const DETAIL_NAMES = {
  cultivar: 'cultivar',
  stockPlant: 'stock plant',
  cuttingType: 'cutting type',
  medium: 'medium',
  tray: 'tray',
  position: 'position',
  hormone: 'hormone',
  hormoneStrength: 'strength',
  wound: 'wound',
  note: 'note',
} as const satisfies Partial<Record<keyof Batch, string>>;
export type DetailName = keyof typeof DETAIL_NAMES;
