import { expect, test } from 'vitest';
import { playStories } from './through-store.ts';

const STORIES = 25;

test(`${STORIES} stories of valid and damaged packs, statuses, mapped messages, files and restarts go through the real store: nothing is thrown, each accepted reading is read back exactly, each refused pack is kept`, async () => {
  const { stored, refused } = await playStories(STORIES);
  // the stories must reach the store, or nothing above was tested
  expect(stored).toBeGreaterThan(10 * STORIES);
  expect(refused).toBeGreaterThan(2 * STORIES);
}, 300_000);
