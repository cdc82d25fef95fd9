import type { DemoReading } from './sensors.ts';

/** A record of a sensor pack, RFC 8428; times in seconds. */
type DemoRecord = {
  readonly bn?: string;
  readonly bt?: number;
  readonly n: string;
  readonly u: string;
  readonly v: number;
  readonly t?: number;
};

/** What one device sends in one message: the device and the pack for its readings topic. */
export type DemoPack = { readonly device: string; readonly records: readonly DemoRecord[] };

/** A message stays as small as one a real node would send after being out of reach for a while. */
const PACK_SPAN_MS = 20 * 60_000;
const PACK_RECORDS = 480;

/**
 * Writes readings of one device as a sensor pack with a base name and a base time.
 * @param device its name
 * @param readings one at least; times ms since epoch
 * @returns the pack, times in s after the first record's
 * @source [RFC8428] section 4.1
 * @example packOf('demo', [{ probe: 'air/temperature', unit: 'Cel', value: 20, tMs: 5000 }]).records[0].bt // 5
 */
function packOf(device: string, readings: readonly DemoReading[]): DemoPack {
  const baseMs = readings[0]?.tMs ?? 0;
  const records = readings.map((reading, index): DemoRecord => {
    const measured = { n: reading.probe, u: reading.unit, v: reading.value };
    if (index === 0) return { bn: `${device}/`, bt: baseMs / 1000, ...measured };
    return reading.tMs === baseMs ? measured : { ...measured, t: (reading.tMs - baseMs) / 1000 };
  });
  return { device, records };
}

/**
 * Gathers the readings of several devices into packs of at most 480 records and 20 minutes.
 * @returns `add`, to be called in order of time, and `finish`, which gives all packs in the order they were closed
 * @param spanMs the longest time of one pack, ms
 * @example createPacker().finish() // []
 */
export function createPacker({ spanMs = PACK_SPAN_MS }: { readonly spanMs?: number } = {}) {
  const open = new Map<string, DemoReading[]>();
  const closed: DemoPack[] = [];
  const close = (device: string, readings: readonly DemoReading[]): void => {
    if (readings.length > 0) closed.push(packOf(device, readings));
  };
  return {
    add(device: string, readings: readonly DemoReading[]): void {
      const first = readings[0];
      if (first === undefined) return;
      let pack = open.get(device) ?? [];
      const isFull = pack.length + readings.length > PACK_RECORDS;
      const isLong = first.tMs - (pack[0]?.tMs ?? first.tMs) >= spanMs;
      if (isFull || isLong) {
        close(device, pack);
        pack = [];
      }
      pack.push(...readings);
      open.set(device, pack);
    },
    finish(): readonly DemoPack[] {
      for (const [device, readings] of open) close(device, readings);
      open.clear();
      return closed;
    },
  };
}
