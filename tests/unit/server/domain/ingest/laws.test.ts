import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { resolvePack } from '../../../../support/resolve-pack.ts';
import { AT, decode, readingsOf } from './sending.ts';

describe('laws of base fields', () => {
  /** Eighths and whole seconds: sums of them are exact in doubles, so equal means equal. */
  const eighths = fc.integer({ min: -800, max: 800 }).map((eighth) => eighth / 8);
  const record = fc.record({
    n: fc.constantFrom('root/temperature', 'air/temperature', 'soil/a', 'soil/b'),
    u: fc.constantFrom('Cel', 'K', 'degF', 'Pa'),
    v: eighths,
    t: fc.integer({ min: 1_700_000_000, max: 1_772_611_200 }),
  });
  const records = fc.array(record, { minLength: 1, maxLength: 20 });
  const bases = fc.record({
    bn: fc.constantFrom('', 'bench-1/', 'soil/', 'root/'),
    bt: fc.integer({ min: 0, max: 1_700_000_000 }),
    bv: eighths,
  });

  test('stating base fields again before any record, or taking them out of its fields, resolves to the same pack', () => {
    fc.assert(
      fc.property(records, fc.array(bases, { minLength: 20, maxLength: 20 }), (plain, restated) => {
        const factored = plain.flatMap(({ n, u, v, t }, index) => {
          const { bn = '', bt = 0, bv = 0 } = restated[index] ?? {};
          const base = { bn: n.startsWith(bn) ? bn : '', bt, bv, bu: u };
          return [base, { n: n.slice(base.bn.length), v: v - bv, t: t - bt }];
        });
        const resolve = (pack: typeof factored | typeof plain) =>
          resolvePack({ records: pack, arrivedAtMs: AT });
        expect(resolve(factored)).toEqual(resolve(plain));
        expect(decode(factored)).toMatchObject({ ok: decode(plain).ok });
        expect(readingsOf(decode(factored))).toEqual(readingsOf(decode(plain)));
      }),
    );
  });

  test('resolving a resolved pack changes nothing, whatever the time of arrival', () => {
    fc.assert(
      fc.property(records, bases, fc.integer({ min: -1e6, max: 300 }), (plain, { bn, bv }, ago) => {
        const pack = plain.map(({ t, ...rest }, index) => ({
          ...rest,
          ...(index % 2 === 0 ? { t } : { t: ago }),
          ...(index === 0 ? { bn, bv, bu: 'Pa' } : {}),
        }));
        const resolved = resolvePack({ records: pack, arrivedAtMs: AT });
        expect(resolvePack({ records: resolved, arrivedAtMs: AT + 86_400_000 })).toEqual(resolved);
      }),
    );
  });
});
