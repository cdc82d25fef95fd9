import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  type CsvFault,
  type CsvRow,
  createCsvReader,
  MAX_ROW_CHARS,
} from '../../../../../server/domain/exchange/read/csv-read.ts';
import { csvLine, unguarded } from '../../../../../server/domain/exchange/write/csv-write.ts';

/** Reads a text given in pieces of so many characters. */
function read(text: string, pieceChars = text.length || 1): (CsvRow | CsvFault)[] {
  const reader = createCsvReader();
  const items: (CsvRow | CsvFault)[] = [];
  for (let at = 0; at < text.length; at += pieceChars)
    items.push(...reader.push(text.slice(at, at + pieceChars)));
  return [...items, ...reader.end()];
}
const cellsOf = (items: readonly (CsvRow | CsvFault)[]) =>
  items.map((item) => ('cells' in item ? item.cells : item.fault));

/** The examples of RFC 4180 section 2, rule by rule; each is read whole and cut after every character. */
const RFC_EXAMPLES: readonly (readonly [string, string, readonly (readonly string[])[]])[] = [
  [
    'rule 1',
    'aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n',
    [
      ['aaa', 'bbb', 'ccc'],
      ['zzz', 'yyy', 'xxx'],
    ],
  ],
  [
    'rule 2, no last line break',
    'aaa,bbb,ccc\r\nzzz,yyy,xxx',
    [
      ['aaa', 'bbb', 'ccc'],
      ['zzz', 'yyy', 'xxx'],
    ],
  ],
  [
    'rule 3',
    'field_name,field_name,field_name\r\naaa,bbb,ccc\r\nzzz,yyy,xxx\r\n',
    [
      ['field_name', 'field_name', 'field_name'],
      ['aaa', 'bbb', 'ccc'],
      ['zzz', 'yyy', 'xxx'],
    ],
  ],
  ['rule 4', 'aaa,bbb,ccc', [['aaa', 'bbb', 'ccc']]],
  [
    'rule 5',
    '"aaa","bbb","ccc"\r\nzzz,yyy,xxx',
    [
      ['aaa', 'bbb', 'ccc'],
      ['zzz', 'yyy', 'xxx'],
    ],
  ],
  [
    'rule 6',
    '"aaa","b\r\nbb","ccc"\r\nzzz,yyy,xxx',
    [
      ['aaa', 'b\r\nbb', 'ccc'],
      ['zzz', 'yyy', 'xxx'],
    ],
  ],
  ['rule 7', '"aaa","b""bb","ccc"', [['aaa', 'b"bb', 'ccc']]],
];

describe('reading', () => {
  test.each(RFC_EXAMPLES)(
    'RFC 4180 section 2, %s: read whole and in pieces of 1 character',
    (_rule, text, rows) => {
      expect(cellsOf(read(text))).toEqual(rows);
      expect(cellsOf(read(text, 1))).toEqual(rows);
    },
  );

  test.each([
    [',', 'time,"a;b;""c;",d'],
    [';', 'time;"a,b,c",d;e'],
    ['\t', 'time\ta,b\tc;d'],
  ])('the delimiter %j is found in the first row, whatever stands between quotes', (delimiter, header) => {
    const [row] = read(`${header}\n1${delimiter}2${delimiter}3\n`).slice(1);
    expect(row).toEqual({ line: 2, cells: ['1', '2', '3'] });
  });

  test('a byte-order mark, empty lines and LF alone are passed over, and lines go on being counted: 1, 4, 6', () => {
    const items = read('\uFEFFa,b\n\n\n1,"x\ny"\n2,z');
    expect(items).toEqual([
      { line: 1, cells: ['a', 'b'] },
      { line: 4, cells: ['1', 'x\ny'] },
      { line: 6, cells: ['2', 'z'] },
    ]);
  });

  test('text after a closing quote spoils line 2 alone', () => {
    const items = read('a,b\r\n"1"x,2\r\n3,4\r\n');
    expect(items[1]).toMatchObject({ line: 2, fault: expect.stringContaining('closing quote') });
    expect(items[2]).toEqual({ line: 3, cells: ['3', '4'] });
  });

  test.each([1, 7, 100_000])(
    'a quote on line 2 that is never closed spoils that line alone, cut into %i',
    (pieceChars) => {
      const items = read('a,b\n"1,2\n3,4\n5,6\n', pieceChars);
      expect(items.map((item) => item.line)).toEqual([1, 2, 3, 4]);
      expect(items[1]).toHaveProperty('fault');
      expect(items[3]).toMatchObject({ cells: ['5', '6'] });
    },
  );

  test(`a row of more than ${MAX_ROW_CHARS} characters is a fault, and no more than that is held`, () => {
    const items = read(`a,b\n${'x'.repeat(3 * MAX_ROW_CHARS)}\n1,2\n`, 1_000);
    expect(items.map((item) => ('fault' in item ? 'fault' : item.cells.join()))).toEqual([
      'a,b',
      'fault',
      '1,2',
    ]);
    expect(items.map(({ line }) => line)).toEqual([1, 2, 3]);
  });

  test('a text of any 200 characters, cut anywhere, reads as it does whole', () => {
    const texts = fc.array(fc.constantFrom('a', '1', ',', ';', '"', '\r', '\n', '""', '\r\n', 'é'), {
      maxLength: 200,
    });
    fc.assert(
      fc.property(texts, fc.integer({ min: 1, max: 9 }), (parts, pieceChars) => {
        const text = parts.join('');
        expect(read(text, pieceChars)).toEqual(read(text));
      }),
      { numRuns: 500 },
    );
  });
});

describe('writing', () => {
  test('a line break is CRLF, a missing value an empty field, and 0.1 + 0.2 keeps its 17 digits', () => {
    expect(csvLine(['a', null, 0.1 + 0.2, -3])).toBe('a,,0.30000000000000004,-3\r\n');
  });

  test.each([
    ['b\r\nbb', '"b\r\nbb"'],
    ['b"bb', '"b""bb"'],
    ['b,b', '"b,b"'],
    [' b', '" b"'],
    ['b b', 'b b'],
  ])('RFC 4180 section 2, rules 4 to 7: the field %j is written as %j', (field, written) => {
    expect(csvLine([field])).toBe(`${written}\r\n`);
  });

  test.each(['=1+1', '+1', '-bench', '@SUM(A1)', '\t=1', '\r=1'])(
    'the text %j starts with an apostrophe, and read back',
    (text) => {
      expect(csvLine([text]).replaceAll('"', '')).toBe(`'${text}\r\n`);
      expect(unguarded(`'${text}`)).toBe(text);
    },
  );

  test('a negative number is a number: nothing leads -3.5', () => {
    expect(csvLine([-3.5])).toBe('-3.5\r\n');
  });

  test('rows of any 2 to 5 texts are read as they were written, but for the apostrophes', () => {
    const texts = fc.array(fc.string({ maxLength: 20 }), { minLength: 2, maxLength: 5 });
    fc.assert(
      fc.property(fc.array(texts, { minLength: 1, maxLength: 8 }), (rows) => {
        const width = Math.max(...rows.map((row) => row.length));
        const square = rows.map((row) => [...row, ...Array(width - row.length).fill('')]);
        // the reader finds its delimiter in the first row, so that holds nothing else that could be one
        const header = Array.from({ length: width }, (_, at) => `c${at}`);
        const text = [header, ...square].map(csvLine).join('');
        const guarded = (cell: string) => (/^[=+\-@\t\r]/.test(cell) ? `'${cell}` : cell);
        expect(cellsOf(read(text, 5)).slice(1)).toEqual(square.map((row) => row.map(guarded)));
      }),
      { numRuns: 300 },
    );
  });
});
