import { readFileSync } from 'node:fs';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { expect, test } from 'vitest';
import { type Decoded, decodePack } from '../../server/domain/ingest/decode.ts';
import { PACK_FAULTS } from '../../shared/faults.ts';
import { PROBE_QUANTITIES } from '../../shared/quantities.ts';
import { EXAMPLE_ARRIVED_AT_MS, EXAMPLE_TOPIC, examples } from '../unit/firmware-contracts/examples.ts';

const MUTANTS = 20_000;
const SEED = 20_260_304;

const fitsSchema = new Ajv2020({ strictTypes: false }).compile(
  JSON.parse(
    readFileSync(new URL('../../firmware-contracts/v1/readings.schema.json', import.meta.url), 'utf8'),
  ),
);

/** Small deterministic generator, "mulberry32" (public domain, from memory): integers below `bound`. */
function integersFrom(seed: number): (bound: number) => number {
  let state = seed;
  return (bound) => {
    state = (state + 0x6d2b79f5) | 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return Math.floor((((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32) * bound);
  };
}

const FRAGMENTS = [
  '"v":',
  'null',
  'true',
  '-',
  '1e308',
  '1e999',
  '-0',
  '[',
  ']',
  '{',
  '}',
  ',',
  '""',
  '"__proto__":{},',
  '"_":0,',
  '"bt":1772611200,',
  '"bver":11,',
  '"vs":"",',
  '"bu":"K",',
  '"n":"bench-2/root/temperature",',
  '\\ud800',
  '\0',
  'é',
  '/',
].map((text) => new TextEncoder().encode(text));

type Integers = ReturnType<typeof integersFrom>;

/** One change: a byte flipped, a stretch cut, repeated or moved, or a fragment of JSON put in. */
function mutated(bytes: Uint8Array, below: Integers): Uint8Array {
  const at = below(bytes.length + 1);
  const to = Math.min(bytes.length, at + below(24));
  const [head, middle, tail] = [bytes.slice(0, at), bytes.slice(at, to), bytes.slice(to)];
  const fragment = FRAGMENTS[below(FRAGMENTS.length)] ?? new Uint8Array();
  const digit = new Uint8Array([0x30 + below(10)]);
  const flipped = middle.map((byte) => byte ^ (1 << below(8)));
  const parts = [
    [head, flipped.slice(0, 1), middle.slice(1), tail],
    [head, tail],
    [head, middle, middle, tail],
    [middle, head, tail],
    [head, fragment, middle, tail],
    [head, fragment, tail],
    [head, digit, middle.slice(1), tail],
  ][below(7)];
  return Uint8Array.from((parts ?? []).flatMap((part) => [...part]));
}

function complaintOf(decoded: Decoded, payload: Uint8Array): string | null {
  if (!decoded.ok) {
    const { code, reason, pointer } = decoded.refusal;
    if (!Object.hasOwn(PACK_FAULTS, code)) return `unknown code ${code}`;
    if (reason.length > 400) return `a reason of ${reason.length} characters`;
    return pointer === null || pointer.startsWith('/') ? null : `pointer ${pointer}`;
  }
  if (decoded.readings.length === 0) return 'accepted without readings';
  for (const { value, tMs, quantity, probe } of decoded.readings) {
    if (!Number.isFinite(value) || !Number.isSafeInteger(tMs)) return `${probe}: ${value} at ${tMs}`;
    if (tMs > EXAMPLE_ARRIVED_AT_MS + 300_000) return `${probe} in the future: ${tMs}`;
    if (quantity === null) continue;
    const { low, high } = PROBE_QUANTITIES[quantity];
    if (value < low || value > high) return `${probe} out of range: ${value}`;
  }
  return fitsSchema(JSON.parse(new TextDecoder().decode(payload))) ? null : 'accepted against the schema';
}

test(`${MUTANTS} damaged packs never throw, are refused for a listed fault, or give sound readings`, () => {
  const below = integersFrom(SEED);
  const sources = examples('valid');
  const seen = new Map<string, number>();
  for (let mutant = 0; mutant < MUTANTS; mutant += 1) {
    let payload: Uint8Array = sources[below(sources.length)]?.payload ?? new Uint8Array();
    for (let changes = 1 + below(3); changes > 0; changes -= 1) payload = mutated(payload, below);
    const message = `seed ${SEED}, mutant ${mutant}: ${JSON.stringify(new TextDecoder().decode(payload))}`;
    const sent = { topic: EXAMPLE_TOPIC, arrivedAtMs: EXAMPLE_ARRIVED_AT_MS, retainedCopy: below(8) === 0 };
    let decoded: Decoded;
    try {
      decoded = decodePack({ ...sent, payload });
    } catch (error) {
      throw new Error(message, { cause: error });
    }
    expect(complaintOf(decoded, payload), message).toBeNull();
    const outcome = decoded.ok ? 'accepted' : decoded.refusal.code;
    seen.set(outcome, (seen.get(outcome) ?? 0) + 1);
  }
  // The damage must reach past the JSON parser, or nothing above was tested.
  expect(seen.get('accepted')).toBeGreaterThan(1_000);
  expect(seen.size).toBeGreaterThan(14);
});
