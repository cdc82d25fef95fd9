import fc from 'fast-check';
import '../support/property-seed.ts';
import { faultsIn } from '../unit/server/support/stories/faults.ts';
import { play } from '../unit/server/support/stories/play.ts';
import { story } from '../unit/server/support/stories/story.ts';

/** `node tests/fuzz/climates.ts [COUNT]`: plays so many stories of the climate of a place, 300 unless told, and says what is wrong. */
const [count = 300] = process.argv.slice(2).map(Number);
let wrong = 0;
let hours = 0;
for (const one of fc.sample(story, {
  numRuns: count,
  seed: Number(process.env['STRIKEWELL_SEED'] ?? 20_261_125),
})) {
  const t = performance.now();
  const played = await play(one);
  const t2 = performance.now();
  const faults = faultsIn(played);
  if (process.env['T'])
    console.log(
      Math.round(t2 - t),
      Math.round(performance.now() - t2),
      one.spells.reduce((s, x) => s + x.minutes, 0) / 60,
    );
  hours += (played.endMs - played.startMs) / 3_600_000;
  if (faults.length === 0) continue;
  wrong += 1;
  console.log(faults.slice(0, 3).join('\n'));
  if (process.env['SHOW']) console.log(JSON.stringify(one));
}
console.log(`${count} stories, ${Math.round(hours)} h of climate: ${wrong} with faults`);
