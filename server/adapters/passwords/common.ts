import { readFile } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';
import type { CommonPasswords } from '../../ports.ts';

/** 49,233 passwords in lower case, the commonest first: a JSON array of texts. */
const LIST = new URL(import.meta.resolve('@zxcvbn-ts/language-common/src/passwords.json'));

/**
 * The list of common passwords that comes with the package. It is read at each question and let go again: half a
 * megabyte for some milliseconds, beside a password that takes scrypt 32 MB.
 */
export const commonPasswords: CommonPasswords = {
  async has(words) {
    const text = await readFile(fileURLToPath(LIST), 'utf8');
    return words.some((word) => word !== '' && text.includes(JSON.stringify(word)));
  },
};
