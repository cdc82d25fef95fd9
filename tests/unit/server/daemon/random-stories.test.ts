import fc from 'fast-check';
import { expect, test } from 'vitest';
import { faultsOf } from '../support/stories/faults.ts';
import { story } from '../support/stories/story.ts';

/** More of them: STRIKEWELL_STORIES=<number>, or `node tests/fuzz/climates.ts <number>`. */
const STORIES = Number(process.env['STRIKEWELL_STORIES'] ?? 30);

test(`${STORIES} random stories of a place: an alarm is over by a measurement alone, a trial agrees, harm has its alarm, and the first line is right`, async () => {
  await fc.assert(
    fc.asyncProperty(story, async (one) => {
      expect(await faultsOf(one)).toEqual([]);
    }),
    { numRuns: STORIES, interruptAfterTimeLimit: 1_500_000, markInterruptAsFailure: true },
  );
}, 1_800_000);
