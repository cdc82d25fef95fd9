import '../support/property-seed.ts';
import { playStories } from './through-store.ts';

/** `node tests/fuzz/stories.ts [COUNT]`: plays that many stories through the real store, 500 unless told; STRIKEWELL_SEED tells others. */
const [count = 500] = process.argv.slice(2).map(Number);
const { stored, refused } = await playStories(count);
console.log(
  `${count} stories: ${stored} readings stored and read back exactly, ${refused} messages refused and kept`,
);
