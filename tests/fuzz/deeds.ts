import fc from 'fast-check';
import { readingsTopic, statusTopic } from '../../firmware-contracts/v1/topics.ts';
import { PROBE_QUANTITIES, type ProbeQuantityName } from '../../shared/quantities.ts';
import { damagedPacks } from './packs.ts';

/** What happens to the house of a story; times in s are counted from its arrival. */
export type Deed =
  | {
      readonly kind: 'message';
      readonly topic: string;
      readonly payload: Uint8Array;
      readonly retained: boolean;
    }
  | { readonly kind: 'file'; readonly as: 'csv' | 'senml'; readonly device: string; readonly text: string }
  | { readonly kind: 'pass'; readonly seconds: number }
  | { readonly kind: 'restart' };

/** Names that are allowed and that careless code trips over. */
export const DEVICES = ['bench-1', '__proto__', 'constructor', 'house', '...a', '-', 'toString'];
const PROBES = Object.keys(PROBE_QUANTITIES) as ProbeQuantityName[];
const UNASSIGNED = ['soil/moisture', 'constructor', '0', 'a::b', 'air/temperature/0', 'house.no-data'];
/** The arrival of a message in whole s, as it stands in absolute times; the house adds what has passed. */
export const ARRIVAL_S = 1_780_308_000;

const finite = fc.oneof(
  fc.double({ noNaN: true, noDefaultInfinity: true }),
  fc.constantFrom(
    -0,
    5e-324,
    -5e-324,
    Number.MAX_VALUE,
    -Number.MAX_VALUE,
    2 ** 53,
    0.1 + 0.2,
    1e-7,
    4_294_967_296,
  ),
);
const anyText = fc.oneof(
  fc.string({ unit: 'binary', maxLength: 30 }),
  fc.constantFrom('\0', 'a\0b', '\ud800', '\udfff"', '\u202e', '\ufeff', ''),
);
/** Relative or absolute, with fractions of a ms, the first and the last that may be; hours back, so that hours are sealed. */
const fairTime = fc.oneof(
  fc.constantFrom(0, -0, -0.0004, -0.0006, 299.9994, 300, -1e-300, -86_400.5),
  fc.double({ noNaN: true, min: -14_400, max: 300 }),
  fc.integer({ min: -14_400, max: 0 }).map((ago) => ARRIVAL_S + ago),
  fc.constantFrom(2 ** 28, 2 ** 28 + 0.0005, ARRIVAL_S + 1 / 3),
);
const wildTime = fc.oneof(
  fairTime,
  fc.constantFrom(-(2 ** 28), 1e308, -1e308, 2 ** 53),
  fc.double({ noNaN: true }),
);
const updateTime = fc.constantFrom(0, -0, 16.66667, 1 / 3, 5e-324, 60, 1e9, 1e15, 1e300, Number.MAX_VALUE);

const known = fc.constantFrom(...PROBES).chain((quantity) => {
  const { low, high, unitCode } = PROBE_QUANTITIES[quantity];
  const value = fc.oneof(
    fc.constantFrom(low, high, -0, (low + high) / 3),
    fc.double({ noNaN: true, min: low, max: high }),
  );
  return fc.record({ n: fc.constantFrom(quantity, `${quantity}/2`), u: fc.constant(unitCode), v: value });
});
const unassigned = fc.record({ n: fc.constantFrom(...UNASSIGNED), v: finite });
const switched = fc.record({ n: fc.constantFrom('mist/valve', 'door/open'), vb: fc.boolean() });
const extras = fc.record({ ut: updateTime, s: finite, note: anyText, 'a\0b': anyText }, { requiredKeys: [] });
const timed = (time: fc.Arbitrary<number>) =>
  fc
    .tuple(
      fc.oneof({ weight: 4, arbitrary: known }, unassigned, switched),
      extras,
      fc.record({ t: time }, { requiredKeys: [] }),
    )
    .map(([measured, more, when]) => ({ ...measured, ...more, ...when }));
const recordsOf = (time: fc.Arbitrary<number>) => fc.array(timed(time), { minLength: 1, maxLength: 12 });
const based = fc.record(
  {
    bt: fc.constantFrom(ARRIVAL_S, ARRIVAL_S - 7_200.5),
    bs: finite,
    bver: fc.constant(10),
    bu: fc.constant('/'),
  },
  { requiredKeys: ['bt'] },
);
const wildBase = fc.record(
  { bt: wildTime, bv: fc.constantFrom(0, -0, 1e308, -1e308, 1e-9), bs: finite, bn: anyText },
  { requiredKeys: [] },
);
const bytesOf = (value: unknown) => new TextEncoder().encode(JSON.stringify(value));
const oneOf = <T>(...parts: readonly [T, ...T[]]) => fc.constantFrom(...parts);

/** -0 keeps its sign in a pack, which JSON.stringify would take. */
function packText(records: readonly object[]): string {
  const marked = JSON.stringify(records, (_key, value: unknown) => (Object.is(value, -0) ? '-0-' : value));
  return marked.replaceAll('"-0-"', '-0');
}

const packBytes = (records: readonly object[]) => new TextEncoder().encode(packText(records));
const withBase = (base: fc.Arbitrary<object>, records: fc.Arbitrary<object[]>) =>
  fc.tuple(base, records).map(([first, rest]) => packBytes([first, ...rest]));
const near = fc.oneof(
  fc.constantFrom(0, -0, 0.0005, 1 / 3),
  fc.double({ noNaN: true, min: -7_200, max: 300 }),
);
/** A minute apart, hours ago, so that they are summed up: sums may go beyond any number. */
const minuteByMinute = fc
  .array(finite, { minLength: 2, maxLength: 9 })
  .map((values) => packBytes(values.map((v, i) => ({ n: 'soil/moisture', v, t: 60 * i - 10_800 }))));
const pack = fc.oneof(
  { weight: 2, arbitrary: minuteByMinute },
  { weight: 5, arbitrary: recordsOf(fairTime).map(packBytes) },
  { weight: 5, arbitrary: withBase(based, recordsOf(near)) },
  { weight: 2, arbitrary: withBase(wildBase, recordsOf(wildTime)) },
);

const damaged = fc
  .tuple(fc.integer({ min: 1, max: 2 ** 31 - 1 }))
  .map(([seed]) => damagedPacks({ count: 1, seed }).next().value?.payload ?? new Uint8Array());

const status = fc.oneof(
  fc.uint8Array({ maxLength: 60 }),
  fc.json().map((text) => new TextEncoder().encode(text)),
  fc
    .record(
      {
        state: oneOf<unknown>('online', 'offline', 3),
        signalDbm: finite,
        dropped: finite,
        firmware: anyText,
      },
      { requiredKeys: [] },
    )
    .map(bytesOf),
);

const foreign = fc.oneof(
  fc.uint8Array({ maxLength: 60 }),
  fc.json().map((text) => new TextEncoder().encode(text)),
  oneOf('1e999', '-0', '21.5', 'NaN', '+1.', '"66"').map((text) => new TextEncoder().encode(text)),
  fc
    .record(
      { t: finite, h: finite, at: oneOf<unknown>('2026-06-01T08:00:00Z', '0080-01-01T00:00:00Z', 1e300, '') },
      { requiredKeys: [] },
    )
    .map(bytesOf),
);

const cell = fc.oneof(finite.map(String), anyText, fc.constantFrom('', '1e999', '-0', '21,5', '85'));
const csvTime = fc.oneof(
  fc.integer({ min: -9_000, max: 0 }).map((ago) => new Date((ARRIVAL_S + ago) * 1000).toISOString()),
  anyText,
);
const csv = fc
  .array(fc.tuple(csvTime, cell, cell), { minLength: 1, maxLength: 20 })
  .map((rows) =>
    [
      'time,air/temperature [°C],counter',
      ...rows.map((cells) => cells.map((text) => `"${text.replaceAll('"', '""')}"`).join(',')),
    ].join('\n'),
  );
const senml = fc
  .array(pack, { minLength: 1, maxLength: 3 })
  .map((packs) => packs.map((bytes) => new TextDecoder().decode(bytes)).join('\n'));

const device = fc.constantFrom(...DEVICES);
const message = (topic: fc.Arbitrary<string>, payload: fc.Arbitrary<Uint8Array>) =>
  fc.record({
    kind: fc.constant('message' as const),
    topic,
    payload,
    retained: fc.integer({ min: 0, max: 9 }).map((n) => n === 0),
  });

/** What a story is made of; mappings read `shed/#` and `level/+`. */
export const deed: fc.Arbitrary<Deed> = fc.oneof(
  { weight: 12, arbitrary: message(device.map(readingsTopic), pack) },
  { weight: 6, arbitrary: message(device.map(readingsTopic), damaged) },
  { weight: 3, arbitrary: message(device.map(statusTopic), status) },
  {
    weight: 6,
    arbitrary: message(oneOf('shed/air', 'shed/__proto__', 'level/bench-1', 'level/a b', 'level/'), foreign),
  },
  {
    weight: 1,
    arbitrary: message(oneOf('strikewell/1/a b/readings', 'strikewell/1//status', 'strikewell/1/x/y'), pack),
  },
  {
    weight: 2,
    arbitrary: fc.record({
      kind: fc.constant('file' as const),
      as: fc.constant('csv' as const),
      device,
      text: csv,
    }),
  },
  {
    weight: 1,
    arbitrary: fc.record({
      kind: fc.constant('file' as const),
      as: fc.constant('senml' as const),
      device,
      text: senml,
    }),
  },
  {
    weight: 3,
    arbitrary: fc.record({ kind: fc.constant('pass' as const), seconds: fc.integer({ min: 1, max: 11 }) }),
  },
  { weight: 1, arbitrary: fc.constant({ kind: 'restart' as const }) },
);
