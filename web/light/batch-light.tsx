import type { BatchDemand } from '../../shared/wire/cuttings/demand.ts';
import { useLoaded } from '../common/hooks.ts';
import { allOfBatch, diaryRound } from '../diary/diary-api.ts';
import { marksOf } from '../diary/marks.ts';
import { LightPicture } from './light-picture.tsx';
import { lightSumWords } from './light-sum.ts';

type Props = { readonly batchId: string; readonly light: NonNullable<BatchDemand['light']> };

/** Light of a batch since it was stuck, where it stood, against what its targets want; its sum first. */
export function BatchLight({ batchId, light }: Props) {
  const { value } = useLoaded(`marks of light ${batchId} ${diaryRound.value}`, () => allOfBatch(batchId));
  const sum = lightSumWords(light);
  return (
    <section data-testid="batch-light">
      <h2>Light</h2>
      {sum && <p>{sum}</p>}
      <LightPicture days={light.byDay} marks={marksOf(value ?? [])} />
    </section>
  );
}
