import { describe, expect, test } from 'vitest';
import { newContactMethodSchema, personPatchSchema } from '../../../../shared/model/people/people.ts';
import { placePatchSchema } from '../../../../shared/model/place.ts';

const subscription = { endpoint: 'https://push.example/1', keys: { p256dh: 'a', auth: 'b' } };
/** Every schema under which people type a name. */
const takers = {
  person: (name: string) => personPatchSchema.safeParse({ name, quiet: null }).success,
  place: (name: string) => placePatchSchema.safeParse({ name }).success,
  browser: (name: string) => newContactMethodSchema.safeParse({ kind: 'push', name, subscription }).success,
};

describe.each(Object.entries(takers))('the name of a %s', (_of, takes) => {
  test.each([
    ['a line break', 'Robin\r\nBcc: all@bench.example'],
    ['a separator of lines', 'Robin\u2028Sam'],
    ['a separator of paragraphs', 'Robin\u2029Sam'],
    ['a null', 'Robin\u0000'],
    ['an escape', 'Robin\u001b[2J'],
    ['a C1 control', 'Robin\u0085Sam'],
    ['an override of direction', 'Robin\u202Exe.moc'],
    ['an isolate', 'Robin\u2067Sam'],
    ['a mark of direction', 'Robin\u200F'],
    ['a lone surrogate', 'Robin\uD800'],
    ['a space without width', 'Rob\u200Bin'],
    ['nothing to be seen', '\u200D\u200C'],
    ['81 characters', 'x'.repeat(81)],
    ['blanks alone', '   '],
  ])('may not hold %s', (_what, name) => {
    expect(takes(name)).toBe(false);
  });

  test.each([
    'Robin',
    'Zoë O’Brien-Šmíd',
    '李雷',
    'محمد',
    'می\u200Cخواهم',
    'bench 3 (east) / mist',
    '👩\u200D🌾',
    'x'.repeat(80),
  ])('may be %s', (name) => {
    expect(takes(name)).toBe(true);
  });
});
