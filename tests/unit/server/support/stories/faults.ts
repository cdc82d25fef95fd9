import { unalarmed } from './covered.ts';
import { notCured } from './cured.ts';
import { unlikeDesign } from './first-line.ts';
import { unlikeTrial } from './live-and-past.ts';
import { play } from './play.ts';
import type { Played } from './played.ts';
import type { Story } from './story.ts';

/** What is wrong with each of the four things that hold after every story. */
export function faultsIn(played: Played): string[] {
  return [
    ...notCured(played).map((fault) => `cured: ${fault}`),
    ...unlikeTrial(played).map((fault) => `live and past: ${fault}`),
    ...unalarmed(played).map((fault) => `harm: ${fault}`),
    ...unlikeDesign(played).map((fault) => `first line: ${fault}`),
  ];
}

/** Plays a story, and says what is wrong. */
export async function faultsOf(story: Story): Promise<string[]> {
  return faultsIn(await play(story));
}
