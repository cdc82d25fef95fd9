import fc from 'fast-check';
import { expect, test } from 'vitest';
import { decodeMapped } from '../../../../../server/domain/mappings/decode-mapped.ts';
import { REFUSAL_FAULTS } from '../../../../../shared/faults.ts';
import { pointerOf, valueAtPointer } from '../../../../../shared/json-pointer.ts';
import type { NewMapping } from '../../../../../shared/model/probes/mapping.ts';

const ARRIVED_MS = Date.UTC(2026, 2, 4, 8);
const token = fc.constantFrom('t', 'a/b', 'm~n', '0', '1', '', '-', '__proto__', 'length');
const pointer = fc.array(token, { maxLength: 3 }).map(pointerOf);
const value = fc.record({
  pointer,
  probe: fc.constantFrom('air/temperature', 'air/humidity', 'mist/valve', 'soil/moisture'),
  unit: fc.constantFrom('Cel', 'degF', '%RH', '/', 'no unit', null),
  scale: fc.double({ noNaN: true, noDefaultInfinity: true, min: 1e-300 }),
  offset: fc.double({ noNaN: true, noDefaultInfinity: true }),
  optional: fc.boolean(),
});
const mapping: fc.Arbitrary<NewMapping> = fc.record({
  filter: fc.constant('house/#'),
  device: fc.oneof(
    fc.constant({ kind: 'named' as const, name: 'post' }),
    fc.record({ kind: fc.constant('level' as const), level: fc.integer({ min: 1, max: 4 }) }),
  ),
  placeId: fc.constant(null),
  time: fc.oneof(
    fc.constant({ kind: 'arrival' as const }),
    fc.record({ kind: fc.constant('pointer' as const), pointer, as: fc.constantFrom('rfc3339', 's', 'ms') }),
  ),
  values: fc.array(value, { minLength: 1, maxLength: 3 }),
});
const payload = fc.oneof(
  fc.uint8Array({ maxLength: 200 }),
  fc.json().map((text) => new TextEncoder().encode(text)),
  fc
    .dictionary(
      token,
      fc.oneof(fc.jsonValue(), fc.double(), fc.constantFrom(ARRIVED_MS / 1000, ARRIVED_MS, '21.4')),
    )
    .map((document) => new TextEncoder().encode(JSON.stringify(document))),
);

test('of 2,000 messages by as many mappings each is finite readings in time, or a refusal with a known code and a pointer that is one', () => {
  fc.assert(
    fc.property(mapping, payload, fc.boolean(), (how, bytes, retainedCopy) => {
      const message = { topic: 'house/bed 3/t', payload: bytes, arrivedAtMs: ARRIVED_MS, retainedCopy };
      const decoded = decodeMapped(message, how);
      if (decoded.ok) {
        expect(decoded.readings.length).toBeGreaterThan(0);
        for (const { value: read, tMs } of decoded.readings) {
          expect(Number.isFinite(read) && Number.isSafeInteger(tMs)).toBe(true);
          expect(tMs).toBeLessThanOrEqual(ARRIVED_MS + 300_000);
        }
        return;
      }
      const { code, reason, pointer: at } = decoded.refusal;
      expect(Object.keys(REFUSAL_FAULTS)).toContain(code);
      expect(reason.length).toBeLessThan(500);
      if (at !== null) expect(at.startsWith('/')).toBe(true);
    }),
    { numRuns: 2_000 },
  );
});

test('any value of 1,000 messages is found again at the pointer made of the names that lead to it', () => {
  fc.assert(
    fc.property(fc.array(fc.string(), { minLength: 1, maxLength: 6 }), fc.jsonValue(), (names, leaf) => {
      const document = names.reduceRight<unknown>((inner, name) => Object.fromEntries([[name, inner]]), leaf);
      expect(valueAtPointer(document, pointerOf(names))).toEqual({ found: true, value: leaf });
    }),
    { numRuns: 1_000 },
  );
});
