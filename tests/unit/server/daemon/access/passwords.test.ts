import { expect, test } from 'vitest';
import { commonPasswords } from '../../../../../server/adapters/passwords/common.ts';
import { passwordProblem } from '../../../../../server/daemon/access/passwords.ts';
import { newPasswordSchema } from '../../../../../shared/model/people/access.ts';

const problemOf = (password: string, names: readonly string[] = []) =>
  passwordProblem(commonPasswords, { password, names });

// each stands in published lists of the commonest passwords
test.each([
  '1234567890',
  'qwertyuiop',
  'password123',
  'QWERTY12345',
  'basketball',
  '1q2w3e4r5t',
  'Administrator',
])('a password of the list is refused, in whatever case: %s', async (password) => {
  expect(await problemOf(password)).toMatch(/common passwords|in order/);
});

test.each(['Password123!', '!!sunshine2026', '2026-dragon-', 'Letmein!!!!!'])(
  'one with digits or signs before or after it is refused too: %s',
  async (password) => {
    expect(await problemOf(password)).toContain('digits or signs added');
  },
);

test.each([
  ['aaaaaaaaaaaa', 'repeats'],
  ['mistmistmist', 'repeats'],
  ['abcdefghijkl', 'in order'],
  ['9876543210', 'in order'],
  ['Strikewell-2026', 'the name "strikewell"'],
  ['hannelore 1984', 'the name "hannelore"'],
  ['strikewell hannelore', 'the name "strikewell"'],
])('%s is refused: %s', async (password, why) => {
  expect(await problemOf(password, ['Hannelore'])).toContain(why);
});

test.each([
  'mist on the third bench',
  'the owner waters at dawn',
  'strikewell keeps the cuttings',
  'Bewurzelung dauert drei Wochen',
  'ぶどうの挿し木は温床で発根する',
  'kx7#Wm2!pLq9',
  'frozen","dragon',
])('%s is accepted', async (password) => {
  expect(await problemOf(password, ['Hannelore', 'owner'])).toBeNull();
});

test('length is counted in characters, whichever way they are sent: 10 at least, 200 at most', () => {
  const fits = (password: string) => newPasswordSchema.safeParse(password).success;
  expect(fits('u\u0308'.repeat(9))).toBe(false);
  expect(fits('u\u0308'.repeat(10))).toBe(true);
  expect(fits('\u{1f331}'.repeat(9))).toBe(false);
  expect(fits('\u{1f331}'.repeat(200))).toBe(true);
  expect(fits('\u{1f331}'.repeat(201))).toBe(false);
});
