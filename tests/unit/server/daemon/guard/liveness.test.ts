import { describe, expect, test } from 'vitest';
import { PARTS } from '../../../../../server/daemon/guard/liveness.ts';
import { airRecord, startHouse } from '../../support/house.ts';

function pinged(options: Parameters<typeof startHouse>[0] = {}) {
  const at: number[] = [];
  const house = startHouse({
    ...options,
    ping: () => {
      at.push(house.hand.clock.nowMs());
      return Promise.resolve();
    },
  });
  return { house, at };
}

/** Lets minutes pass in seconds, so that what is promised between them is kept. */
async function pass({ hand }: ReturnType<typeof startHouse>, minutes: number): Promise<void> {
  for (let second = 0; second < minutes * 60; second += 1) {
    hand.pass(1_000);
    await Promise.resolve();
  }
}

describe('a sign of life to an outside watcher', () => {
  test('goes out 5 times in 5 min while all 3 parts come round, with readings or without', async () => {
    const { house, at } = pinged();
    await pass(house, 2);
    await house.report([airRecord(22)]);
    await pass(house, 3);
    expect(at).toHaveLength(5);
    expect(PARTS).toHaveLength(3);
  });

  test('stops within 2 min of the alarms no longer being judged, and the log says which part is dead', async () => {
    const { house, at } = pinged();
    await house.report([airRecord(22)]);
    await pass(house, 2);
    // a world that cannot be read breaks the judging, and nothing else
    Object.defineProperty(house.daemon.world.places, 'values', {
      value: () => {
        throw new Error('broken');
      },
    });
    const before = at.length;
    await pass(house, 6);
    expect(at.length - before).toBeLessThanOrEqual(1);
    expect(JSON.stringify(house.log.lines)).toContain('evaluation');
  });
});
