import { Fault } from '../../../shared/faults.ts';
import {
  COMMON_PROBLEM,
  COMMON_WORD_PROBLEM,
  lengthProblem,
  listedForms,
  patternProblem,
} from '../../../shared/model/people/password.ts';
import type { CommonPasswords } from '../../ports.ts';

type Chosen = { readonly password: string; readonly names: readonly string[] };

/**
 * What makes a new password easy to guess (SP 800-63B section 3.1.1.2: length, a list of common ones, the names it
 * rests on; no rules of composition).
 * @returns a sentence without its full stop, or null
 */
export async function passwordProblem(
  common: CommonPasswords,
  { password, names }: Chosen,
): Promise<string | null> {
  const plain = lengthProblem(password) ?? patternProblem(password, names);
  if (plain !== null) return plain;
  const { whole, word } = listedForms(password);
  if (await common.has([whole])) return COMMON_PROBLEM;
  return (await common.has([word])) ? COMMON_WORD_PROBLEM : null;
}

/** @throws Fault `bad-request` for a password that is easy to guess; it is not repeated */
export async function requireGood(common: CommonPasswords, chosen: Chosen): Promise<void> {
  const problem = await passwordProblem(common, chosen);
  if (problem === null) return;
  const details = { field: 'password' };
  throw new Fault({ code: 'bad-request', message: `Nothing was changed: ${problem}.`, details });
}
