import { readFileSync } from 'node:fs';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { type Decoded, decodePack } from '../../server/domain/ingest/decode.ts';
import { PACK_FAULTS } from '../../shared/faults.ts';
import { PROBE_QUANTITIES } from '../../shared/quantities.ts';
import { integersFrom } from '../support/integers.ts';
import { EXAMPLE_ARRIVED_AT_MS, EXAMPLE_TOPIC, examples } from '../unit/firmware-contracts/examples.ts';

const fitsSchema = new Ajv2020({ strictTypes: false }).compile(
  JSON.parse(
    readFileSync(new URL('../../firmware-contracts/v1/readings.schema.json', import.meta.url), 'utf8'),
  ),
);

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

const EXTREME_BYTES = [0, 0x22, 0x2c, 0x30, 0x39, 0x5b, 0x5c, 0x7b, 0x7f, 0x80, 0xc3, 0xff];

/**
 * One change in the manner of AFL: a bit flipped, a byte added to or set to an extreme, a stretch cut, repeated or
 * moved, the end of another pack spliced on, or a fragment of JSON or a digit put in.
 */
function mutated({
  bytes,
  other,
  below,
}: {
  bytes: Uint8Array;
  other: Uint8Array;
  below: Integers;
}): Uint8Array {
  const at = below(bytes.length + 1);
  const to = Math.min(bytes.length, at + below(24));
  const [head, middle, tail] = [bytes.slice(0, at), bytes.slice(at, to), bytes.slice(to)];
  const fragment = FRAGMENTS[below(FRAGMENTS.length)] ?? new Uint8Array();
  const digit = new Uint8Array([0x30 + below(10)]);
  const flipped = middle.map((byte) => byte ^ (1 << below(8)));
  const extreme = new Uint8Array([EXTREME_BYTES[below(EXTREME_BYTES.length)] ?? 0]);
  const added = middle.map((byte) => byte + below(70) - 35);
  const parts = [
    [head, flipped.slice(0, 1), middle.slice(1), tail],
    [head, tail],
    [head, middle, middle, tail],
    [middle, head, tail],
    [head, fragment, middle, tail],
    [head, fragment, tail],
    [head, digit, middle.slice(1), tail],
    [head, extreme, middle.slice(1), tail],
    [head, added.slice(0, 1), middle.slice(1), tail],
    [head, other.slice(below(other.length + 1))],
  ][below(10)];
  return Buffer.concat(parts ?? []);
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

/**
 * The valid examples, each damaged one to three times.
 *
 * @param story how many, and the seed they are drawn from
 */
export function* damagedPacks({ count, seed }: { readonly count: number; readonly seed: number }) {
  const below = integersFrom(seed);
  const sources = examples('valid').map(({ payload }) => payload);
  const one = (): Uint8Array => sources[below(sources.length)] ?? new Uint8Array();
  for (let mutant = 0; mutant < count; mutant += 1) {
    let payload = one();
    for (let changes = 1 + below(3); changes > 0; changes -= 1)
      payload = mutated({ bytes: payload, other: one(), below });
    yield { payload, retainedCopy: below(8) === 0 };
  }
}

/**
 * Decodes damaged packs.
 *
 * @returns how many were accepted, and refused by which code
 * @throws Error with the pack that was accepted against the contract, refused without a listed fault, or threw
 */
export function outcomesOf(story: { readonly count: number; readonly seed: number }): Map<string, number> {
  const seen = new Map<string, number>();
  const sent = { topic: EXAMPLE_TOPIC, arrivedAtMs: EXAMPLE_ARRIVED_AT_MS };
  for (const damaged of damagedPacks(story)) {
    const about = () => `seed ${story.seed}: ${JSON.stringify(new TextDecoder().decode(damaged.payload))}`;
    let decoded: Decoded;
    try {
      decoded = decodePack({ ...sent, ...damaged });
    } catch (cause) {
      throw new Error(`thrown at ${about()}`, { cause });
    }
    const complaint = complaintOf(decoded, damaged.payload);
    if (complaint !== null) throw new Error(`${complaint} at ${about()}`);
    const outcome = decoded.ok ? 'accepted' : decoded.refusal.code;
    seen.set(outcome, (seen.get(outcome) ?? 0) + 1);
  }
  return seen;
}
