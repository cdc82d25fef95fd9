import { MAX_PAYLOAD_BYTES, MAX_RECORDS } from '../../../firmware-contracts/v1/limits.ts';

/** A pack of a file, with the line it begins on; a long one comes in parts, each with the base fields in force. */
export type FilePack = { readonly line: number; readonly json: string };
export type FileFault = { readonly line: number; readonly fault: string };
export type SenmlSplitter = {
  push(text: string): (FilePack | FileFault)[];
  end(): (FilePack | FileFault)[];
};

/** A part leaves room for the record of base fields that leads the next one, characters. */
const PART_CHARS = MAX_PAYLOAD_BYTES - 2_048;
const BASE_LABELS = ['bn', 'bt', 'bu', 'bv', 'bver'] as const;

/**
 * Splits a text into the SenML packs it holds, cut anywhere and in bounded memory: one array, or one a line, or any
 * number of them with white space between. Records are not looked into; what is between arrays is a fault.
 * @source [RFC8428] section 5: a pack is a JSON array of records
 */
export function createSenmlSplitter(): SenmlSplitter {
  const cursor = { line: 1, depth: 0, inString: false, escaped: false, isSpoiled: false };
  let part = newPart(1, '');
  let record = '';
  let base: Readonly<Record<string, unknown>> = {};
  let items: (FilePack | FileFault)[] = [];

  const closePart = ({ isWhole }: { isWhole: boolean }) => {
    const json = `[${part.records}]`;
    if (part.count > 0 || isWhole) items.push({ line: part.line, json });
    base = isWhole ? {} : baseAfter(base, json);
    const lead = JSON.stringify(base);
    part = newPart(cursor.line, lead === '{}' ? '' : lead);
  };
  const isFull = () => part.count >= part.most || part.records.length > PART_CHARS;
  const closeRecord = () => {
    part.records += part.records === '' ? record : `,${record}`;
    part.count++;
    record = '';
  };
  const spoil = (fault: string) => {
    if (!cursor.isSpoiled) items.push({ line: cursor.line, fault });
    Object.assign(cursor, { depth: 0, inString: false, escaped: false, isSpoiled: true });
    base = {};
    record = '';
  };
  const between = (char: string) => {
    if (char === '[') {
      cursor.depth = 1;
      part = newPart(cursor.line, '');
    } else if (char !== '\uFEFF' && char.trim() !== '')
      spoil('what stands here is no SenML pack, which is a JSON array');
  };
  const inPack = (char: string) => {
    if (char !== ',' && char !== ']') {
      record += char;
      return;
    }
    if (record.trim() !== '') closeRecord();
    if (char === ',') {
      if (isFull()) closePart({ isWhole: false });
      return;
    }
    cursor.depth = 0;
    closePart({ isWhole: true });
  };
  const take = (char: string) => {
    if (char === '\n') {
      cursor.line++;
      cursor.isSpoiled = false;
    }
    if (cursor.isSpoiled) return;
    if (cursor.depth === 0) return between(char);
    if (cursor.inString) {
      record += char;
      cursor.inString = cursor.escaped || char !== '"';
      cursor.escaped = !cursor.escaped && char === '\\';
    } else if (cursor.depth === 1 && !'{["'.includes(char)) inPack(char);
    else {
      record += char;
      if (char === '"') cursor.inString = true;
      if (char === '{' || char === '[') cursor.depth++;
      if (char === '}' || char === ']') cursor.depth--;
    }
    if (record.length > MAX_PAYLOAD_BYTES) spoil(`a record has more than ${MAX_PAYLOAD_BYTES} characters`);
  };
  const taken = () => {
    const done = items;
    items = [];
    return done;
  };
  return {
    push(text) {
      for (const char of text) take(char);
      return taken();
    },
    end() {
      if (cursor.depth > 0) spoil('the pack is cut off');
      return taken();
    },
  };
}

function newPart(line: number, lead: string) {
  return { line, records: lead, count: 0, most: lead === '' ? MAX_RECORDS : MAX_RECORDS - 1 };
}

/** The base fields in force after a part; a part that is no JSON is refused where it is decoded. */
function baseAfter(
  before: Readonly<Record<string, unknown>>,
  json: string,
): Readonly<Record<string, unknown>> {
  try {
    const base: Record<string, unknown> = { ...before };
    for (const record of JSON.parse(json) as Readonly<Record<string, unknown>>[])
      for (const label of BASE_LABELS) if (record?.[label] !== undefined) base[label] = record[label];
    return base;
  } catch {
    return before;
  }
}
