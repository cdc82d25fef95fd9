import {
  ALSO_SENT_IN,
  PROBE_QUANTITIES,
  type ProbeQuantity,
  type ProbeQuantityName,
} from '../../../shared/quantities.ts';

/** What a well-known probe measures: its unit as read, what a sensor can read, and the unit codes it may be sent in. */
export type WellKnown = {
  readonly quantity: ProbeQuantityName;
  readonly unit: string;
  readonly low: number;
  readonly high: number;
  readonly convert: ReadonlyMap<string, Conversion>;
};

type Conversion = (value: number) => number;

const unchanged: Conversion = (value) => value;
const WELL_KNOWN: ReadonlyMap<string, WellKnown> = new Map(
  namesOf(PROBE_QUANTITIES).map((quantity) => {
    const { unitCode, unit, low, high } = PROBE_QUANTITIES[quantity];
    const convert = new Map([[unitCode as string, unchanged], ...(ALSO_SENT_IN[unitCode] ?? [])]);
    return [quantity, { quantity, unit, low, high, convert }];
  }),
);

function namesOf<T extends object>(table: T): (keyof T)[] {
  return Object.keys(table) as (keyof T)[];
}

const NUMBER = /\/[1-9][0-9]{0,8}$/;

/** What a probe of this name measures, `<position>/<quantity>` with an optional `/<number>`; null if not well known. */
export function wellKnown(probe: string): WellKnown | null {
  const whole = WELL_KNOWN.get(probe);
  if (whole !== undefined) return whole;
  const number = NUMBER.exec(probe);
  return number === null ? null : (WELL_KNOWN.get(probe.slice(0, number.index)) ?? null);
}

/** True for what may be sent as on or off. */
export function takesOnOff({ quantity }: WellKnown): boolean {
  const known: ProbeQuantity = PROBE_QUANTITIES[quantity];
  return known.onOff === true;
}
