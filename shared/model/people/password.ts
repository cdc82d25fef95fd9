import { MAX_PASSWORD_CHARACTERS, MIN_PASSWORD_CHARACTERS } from './roles.ts';

/** The service's own name: SP 800-63B asks that no password rest on it. */
const SERVICE = 'strikewell';
/** Letters that must be left of a password without the names it holds. */
const LEAST_OWN_LETTERS = 4;
/** Shorter names stand in many words by chance. */
const LEAST_NAME_CHARACTERS = 3;

/** A password as it is counted, compared and hashed: two keyboards may send one letter in two ways. */
function normalPassword(password: string): string {
  return password.normalize('NFC');
}

/** Length as SP 800-63B counts it: each code point is one character. */
function passwordLength(password: string): number {
  return [...normalPassword(password)].length;
}

/**
 * What is wrong with the length of a new password.
 * @returns a sentence without its full stop, or null
 */
export function lengthProblem(password: string): string | null {
  const length = passwordLength(password);
  if (length < MIN_PASSWORD_CHARACTERS)
    return `a password has at least ${MIN_PASSWORD_CHARACTERS} characters`;
  if (length > MAX_PASSWORD_CHARACTERS) return `a password has at most ${MAX_PASSWORD_CHARACTERS} characters`;
  return null;
}

/**
 * What makes a new password easy to guess without any list: repeats, runs, the names it rests on.
 * @param password as typed
 * @param names of the account, none when it has no name yet
 * @returns a sentence without its full stop, or null
 */
export function patternProblem(password: string, names: readonly string[]): string | null {
  const folded = normalPassword(password).toLowerCase();
  if (/^(.{1,4}?)\1+$/su.test(folded)) return 'this password repeats a few characters; choose another';
  if (isRun(folded)) return 'this password is a run of characters in order; choose another';
  const known = [SERVICE, ...names.map((name) => name.normalize('NFC').toLowerCase())];
  const held = known.filter((name) => name.length >= LEAST_NAME_CHARACTERS && folded.includes(name));
  const rest = held.reduce((text, name) => text.replaceAll(name, ''), folded);
  if (held.length === 0 || lettersOf(rest).length >= LEAST_OWN_LETTERS) return null;
  return `this password is little more than the name "${held[0]}"; choose another`;
}

/**
 * The forms in which a password may stand in a list of common ones: as it is, and without what is put before and
 * after it.
 * @param password as typed
 */
export function listedForms(password: string): { readonly whole: string; readonly word: string } {
  const whole = normalPassword(password).toLowerCase();
  return { whole, word: whole.replace(/^[^\p{L}]+|[^\p{L}]+$/gu, '') };
}

export const COMMON_PROBLEM = 'this is one of the most common passwords; choose another, such as a sentence';
export const COMMON_WORD_PROBLEM =
  'this is a common password with digits or signs added; choose another, such as a sentence';

function isRun(text: string): boolean {
  const codes = [...text].map((character) => character.codePointAt(0) ?? 0);
  const steps = codes.slice(1).map((code, i) => code - (codes[i] ?? 0));
  const step = steps[1] ?? 0;
  // after 9 comes 0, as on a keyboard
  return Math.abs(step) === 1 && steps.every((one) => one === step || one === -9 * step);
}

function lettersOf(text: string): string {
  return text.replace(/[^\p{L}]/gu, '');
}
