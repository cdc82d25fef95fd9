import { MAX_RECORDS, SENML_VERSION } from '../../../firmware-contracts/v1/limits.ts';
import { readingsPackSchema, type SenmlRecord } from '../../../firmware-contracts/v1/readings.ts';
import { textOf } from './payload.ts';
import { pointerTo, quoted, type Refusal } from './refusal.ts';

type Issue = { readonly path: readonly PropertyKey[]; readonly code: string; readonly message: string };

/**
 * Reads a payload as SenML records whose fields have the right types, in one version we
 * understand, and without a field that must be understood and is not.
 * @param payload bytes as they arrived
 * @returns 1 to 500 records, or why not; never throws
 * @source [RFC8428] sections 4.3, 4.4 and 5
 */
export function readRecords(payload: Uint8Array): readonly SenmlRecord[] | Refusal {
  const read = textOf(payload);
  if ('code' in read) return read;
  const { text } = read;
  let json: unknown;
  try {
    json = JSON.parse(text);
  } catch {
    return { code: 'not-json', reason: `the payload is not JSON: ${quoted(text)}`, pointer: null };
  }
  if (!Array.isArray(json) || json.length === 0) {
    return { code: 'not-a-pack', reason: 'not a JSON array of at least one record', pointer: null };
  }
  if (json.length > MAX_RECORDS) {
    return {
      code: 'too-many-records',
      reason: `${json.length} records; ${MAX_RECORDS} are allowed`,
      pointer: null,
    };
  }
  const pack = readingsPackSchema.safeParse(json);
  const misread = pack.success ? otherVersion(pack.data) : fieldFault(pack.error.issues);
  return mustUnderstand(json) ?? misread ?? (pack.data as readonly SenmlRecord[]);
}

/** A label we do not know that ends in "_" may not be ignored. */
function mustUnderstand(records: readonly unknown[]): Refusal | null {
  for (const [index, record] of records.entries()) {
    if (typeof record !== 'object' || record === null || Array.isArray(record)) continue;
    for (const label in record) {
      if (!label.endsWith('_')) continue;
      const reason = `the field ${quoted(label)} must be understood, and is not`;
      return { code: 'must-understand', reason, pointer: pointerTo({ index, label }) };
    }
  }
  return null;
}

/** All records of a pack have one version; it is 10 when the first does not say. */
function otherVersion(records: readonly SenmlRecord[]): Refusal | null {
  const version = records[0]?.bver ?? SENML_VERSION;
  const index = records.findIndex(({ bver }) => bver !== undefined && bver !== version);
  if (index === -1) return null;
  const reason = `bver changes from ${version} to ${records[index]?.bver} within the pack`;
  return { code: 'unsupported-version', reason, pointer: pointerTo({ index, label: 'bver' }) };
}

function fieldFault(issues: readonly Issue[]): Refusal | null {
  const tooNew = issues.find(({ path, code }) => path[1] === 'bver' && code === 'too_big');
  const issue = tooNew ?? issues[0];
  if (issue === undefined) return null;
  const index = Number(issue.path[0]);
  const label = issue.path[1];
  if (typeof label !== 'string') {
    return {
      code: 'not-a-record',
      reason: 'the element is not a JSON object',
      pointer: pointerTo({ index }),
    };
  }
  const pointer = pointerTo({ index, label });
  if (tooNew === undefined) return { code: 'bad-field', reason: `${label}: ${issue.message}`, pointer };
  const reason = `bver is above ${SENML_VERSION}, the newest SenML version understood here`;
  return { code: 'unsupported-version', reason, pointer };
}
