import targetSheet from '../../../seeds/targets/general-herbaceous-bottom-heat.json' with { type: 'json' };
import { jsonOf } from '../../../shared/json.ts';
import { type Targets, targetSheetSchema, targetsSchema } from '../../../shared/model/targets.ts';

/** One edit of targets as it is stored; `defaulted` where it could not be used. */
export type ReadTargets = { readonly targets: Targets; readonly defaulted: boolean };

/**
 * The edits of a place's targets as they are stored. One that is out of range or unreadable changes nothing: the edit
 * before it holds on, or the general sheet where it is the first. None is left out, as settled sums count the edits.
 * @param bodies texts of JSON in the order in which they were entered
 * @returns one entry a body
 */
export function readTargets(bodies: readonly string[]): ReadTargets[] {
  const read: ReadTargets[] = [];
  for (const body of bodies) {
    const { data } = targetsSchema.safeParse(jsonOf(body));
    const targets = data ?? read.at(-1)?.targets ?? targetSheetSchema.parse(targetSheet).targets;
    read.push({ targets, defaulted: data === undefined });
  }
  return read;
}
