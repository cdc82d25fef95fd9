import { z } from 'zod';

const MOST_NAME_CHARACTERS = 80;

/**
 * Control characters, breaks of lines and paragraphs, lone surrogates, marks that turn the direction of writing, and
 * characters without a width. Joiners within a word stay allowed: several scripts and joined emoji need them.
 */
const UNWANTED = /[\p{Cc}\p{Cs}\u2028\u2029\u061C\u200B\u200E\u200F\u202A-\u202E\u2060\u2066-\u2069\uFEFF]/u;
const VISIBLE = /[\p{L}\p{N}\p{P}\p{S}]/u;

/** A name that people type: it goes into subjects, logs and pages as it is. */
export const nameSchema = z
  .string()
  .trim()
  .min(1, 'a name has at least 1 character')
  .max(MOST_NAME_CHARACTERS, `a name has at most ${MOST_NAME_CHARACTERS} characters`)
  .refine((name) => !UNWANTED.test(name), 'a name holds no control characters')
  .refine((name) => VISIBLE.test(name), 'a name has at least 1 visible character');
