import { MS_PER_HOUR, type Window } from '../../../shared/exposure/series.ts';
import { Fault } from '../../../shared/faults.ts';
import type { PlaceSettings } from '../../../shared/model/place.ts';
import { PROBE_QUANTITIES, type ProbeQuantityName } from '../../../shared/quantities.ts';
import type { ExplainedInput, Exposures } from '../../../shared/wire/http.ts';
import type { leafOffsetFrom, RecordsByQuantity } from '../exposures/curves.ts';
import type { ExposureQuestion } from '../exposures/question.ts';
import { counting, type Newest } from '../present/now.ts';

/** A number of the exposures, and what it was counted from. */
export type ExposureToExplain = {
  /** path of the number in the exposures, such as `rootZone.degreeHoursBelow` or `light.days.0.dliMolM2` */
  readonly path: string;
  readonly exposures: Exposures;
  readonly question: ExposureQuestion;
  readonly sourceText: (key: string) => string;
};

/** A probe's newest reading as an explanation names it. */
export type NamedReading = Newest & {
  readonly device: string;
  readonly name: string;
  /** what the probe reported, where that is corrected */
  readonly raw?: number | null;
};

/** The number at a path of an answer; null where one would be, undefined where there is none. */
export function valueAt(answer: object, parts: readonly string[]): number | null | undefined {
  let found: unknown = answer;
  for (const part of parts) {
    if (typeof found !== 'object' || found === null || !Object.hasOwn(found, part)) return undefined;
    found = (found as Record<string, unknown>)[part];
  }
  return typeof found === 'number' || found === null ? found : undefined;
}

/** The refusal of a question for a number that is not there: a Fault `not-found`. */
export function noSuchNumber(of: string): Fault {
  const message = `There is no number "${of}" to explain.`;
  return new Fault({ code: 'not-found', message, details: { of } });
}

/** A setting, a limit or a count that a number was made from. */
export function given(name: string, value: number | string, unit: string): ExplainedInput {
  return { name, value, unit, at: null, probe: null };
}

/** What is assumed of how warm a leaf is, in words. */
export function leafAssumed(
  from: ReturnType<typeof leafOffsetFrom>,
  { leaf, leafOffsetK }: PlaceSettings,
): string[] {
  if (from === 'probe') return [];
  if (from !== 'light')
    return [`no leaf probe: the leaf is assumed ${leafOffsetK ?? 0} K warmer than the air`];
  return [
    `no leaf probe: how warm the leaf is, is estimated from the light on it, for a leaf ${Number((leaf.widthM * 100).toFixed(2))} cm wide that lies flat and loses no water, in air moving at ${leaf.airSpeedMS} m/s, by the heat balance of a leaf [CN98]`,
    'a leaf just misted is cooler than that, one in still air warmer; a poinsettia shoot tip was 3.3 K above the air in 500 W/m² of sun at 0.44 m/s [SHOOTTIP04]',
  ];
}

/** How many readings of each quantity lie in a window, ms since epoch: its start belongs to it, its end does not. */
export function countedReadings(
  quantities: readonly ProbeQuantityName[],
  counted: { readonly records: RecordsByQuantity; readonly window: Window; readonly when?: string },
): ExplainedInput[] {
  const { records, window, when = 'in the span' } = counted;
  return quantities.map((quantity) => {
    let value = 0;
    for (const { timesMs } of records[quantity] ?? []) {
      for (const tMs of timesMs) if (tMs >= window.fromMs && tMs < window.toMs) value++;
    }
    return given(`${PROBE_QUANTITIES[quantity].name}: readings ${when}`, value, '');
  });
}

/** The newest readings of each quantity that count, with probe and time. */
export function newestReadings(
  quantities: readonly ProbeQuantityName[],
  readings: readonly NamedReading[],
): ExplainedInput[] {
  return quantities.flatMap((wanted) => {
    const known = PROBE_QUANTITIES[wanted];
    const used = counting(readings.filter(({ quantity }) => quantity === wanted));
    return used.map(({ device, name, tMs, value }) => {
      const at = new Date(tMs).toISOString();
      return { name: known.name, value, unit: known.unit, at, probe: `${device}/${name}` };
    });
  });
}

/** Length of a window, h. */
export function hoursLong({ fromMs, toMs }: Window): number {
  return (toMs - fromMs) / MS_PER_HOUR;
}
