import { expect, test } from 'vitest';
import { ALIVE_EVERY_MS, saysItLives } from '../../../../../server/commands/serve/watchdog.ts';

test('in 4 turns of 20 s, with the outbox dead in 2 of them, systemd is told of life twice, and the log why not', () => {
  const told: string[] = [];
  const logged: unknown[] = [];
  const deadAt: (readonly string[])[] = [[], ['outbox'], ['ingest', 'outbox'], []];
  let everyMs = 0;
  let turn: () => void = () => undefined;
  saysItLives({
    manager: { ready: () => told.push('ready'), alive: () => told.push('alive') },
    dead: () => deadAt[0] ?? [],
    timers: {
      every(intervalMs, run) {
        everyMs = intervalMs;
        turn = run;
        return () => undefined;
      },
    },
    log: { error: (_, fields) => logged.push(fields) },
  });
  for (; deadAt.length > 0; deadAt.shift()) turn();
  expect(told).toEqual(['ready', 'alive', 'alive']);
  expect(logged).toEqual([{ dead: 'outbox' }, { dead: 'ingest, outbox' }]);
  expect([everyMs, ALIVE_EVERY_MS]).toEqual([20_000, 20_000]);
});
