import { MAX_PAYLOAD_BYTES, MAX_RECORDS } from '../../../../firmware-contracts/v1/limits.ts';

/** A pack of a file, with the line it begins on; a long one comes in parts, each with the base fields in force. */
type FilePack = { readonly line: number; readonly json: string };
type FileFault = { readonly line: number; readonly fault: string };
type SenmlSplitter = {
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
  const splitter = new Splitter();
  return {
    push(text) {
      for (const char of text) splitter.take(char);
      return splitter.drain();
    },
    end() {
      splitter.finish();
      return splitter.drain();
    },
  };
}

class Splitter {
  #line = 1;
  #depth = 0;
  #inString = false;
  #isEscaped = false;
  #isSpoiled = false;
  #record = '';
  #part = newPart(1, '');
  #base: Base = {};
  #items: (FilePack | FileFault)[] = [];

  take(char: string): void {
    if (char === '\n') {
      this.#line++;
      this.#isSpoiled = false;
    }
    if (this.#isSpoiled) return;
    if (this.#depth === 0) this.#between(char);
    else if (this.#inString) this.#inText(char);
    else if (this.#depth === 1 && !'{["'.includes(char)) this.#inPack(char);
    else this.#inRecord(char);
    if (this.#record.length > MAX_PAYLOAD_BYTES)
      this.#spoil(`a record has more than ${MAX_PAYLOAD_BYTES} characters`);
  }

  drain(): (FilePack | FileFault)[] {
    const items = this.#items;
    this.#items = [];
    return items;
  }

  finish(): void {
    if (this.#depth > 0) this.#spoil('the pack is cut off');
  }

  #between(char: string): void {
    if (char === '[') {
      this.#depth = 1;
      this.#part = newPart(this.#line, '');
    } else if (char !== '\uFEFF' && char.trim() !== '')
      this.#spoil('what stands here is no SenML pack, which is a JSON array');
  }

  #inText(char: string): void {
    this.#record += char;
    this.#inString = this.#isEscaped || char !== '"';
    this.#isEscaped = !this.#isEscaped && char === '\\';
  }

  #inRecord(char: string): void {
    this.#record += char;
    if (char === '"') this.#inString = true;
    if (char === '{' || char === '[') this.#depth++;
    if (char === '}' || char === ']') this.#depth--;
  }

  #inPack(char: string): void {
    if (char !== ',' && char !== ']') {
      this.#record += char;
      return;
    }
    if (this.#record.trim() !== '') this.#closeRecord();
    const { count, most, records } = this.#part;
    if (char === ']') {
      this.#depth = 0;
      this.#closePart({ isWhole: true });
    } else if (count >= most || records.length > PART_CHARS) this.#closePart({ isWhole: false });
  }

  #closeRecord(): void {
    const { records } = this.#part;
    this.#part.records = records === '' ? this.#record : `${records},${this.#record}`;
    this.#part.count++;
    this.#record = '';
  }

  #closePart({ isWhole }: { isWhole: boolean }): void {
    const json = `[${this.#part.records}]`;
    if (this.#part.count > 0 || isWhole) this.#items.push({ line: this.#part.line, json });
    this.#base = isWhole ? {} : baseAfter(this.#base, json);
    const lead = JSON.stringify(this.#base);
    this.#part = newPart(this.#line, lead === '{}' ? '' : lead);
  }

  /** What follows is passed over up to the end of the line. */
  #spoil(fault: string): void {
    if (!this.#isSpoiled) this.#items.push({ line: this.#line, fault });
    this.#depth = 0;
    this.#inString = false;
    this.#isEscaped = false;
    this.#isSpoiled = true;
    this.#base = {};
    this.#record = '';
  }
}

type Base = Readonly<Record<string, unknown>>;

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
