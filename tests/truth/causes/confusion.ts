import { causeOf } from '../../../server/domain/causes/causes.ts';
import { CAUSES, type Cause } from '../../../server/domain/causes/hypotheses.ts';
import { sceneOf } from './scenes.ts';

/** How often scenes of a cause were given each cause, or none. */
export type Confusion = {
  readonly scenes: number;
  readonly right: number;
  readonly notKnown: number;
  readonly confidentlyWrong: number;
  readonly rows: ReadonlyMap<Cause, ReadonlyMap<Cause | 'not known', number>>;
};

/**
 * Judges scenes of every cause.
 * @param eachCause scenes a cause
 * @param firstSeed scenes have this seed and those after it
 */
export function confusionOf({ eachCause, firstSeed }: { eachCause: number; firstSeed: number }): Confusion {
  let [right, notKnown, confidentlyWrong] = [0, 0, 0];
  const rows = new Map<Cause, Map<Cause | 'not known', number>>();
  for (const cause of CAUSES) {
    const row = new Map<Cause | 'not known', number>();
    for (let seed = firstSeed; seed < firstSeed + eachCause; seed++) {
      const { likely, isConfident } = causeOf(sceneOf(cause, seed).scene);
      const given = likely?.cause ?? 'not known';
      row.set(given, (row.get(given) ?? 0) + 1);
      if (given === cause) right++;
      else if (given === 'not known') notKnown++;
      else if (isConfident) confidentlyWrong++;
    }
    rows.set(cause, row);
  }
  return { scenes: CAUSES.length * eachCause, right, notKnown, confidentlyWrong, rows };
}
