import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { expect, test } from 'vitest';
import { routesFor } from '../../../server/domain/access/routes.ts';
import type { RouteId } from '../../../shared/routes/call.ts';
import { ADDRESSES } from '../../../web/addresses.ts';

const page = fileURLToPath(new URL('../../../web/', import.meta.url));

/** The routes that views ask about. */
function asked(): RouteId[] {
  const views = readdirSync(page, { recursive: true, encoding: 'utf8' }).filter((file) =>
    file.endsWith('.tsx'),
  );
  return views.flatMap((file) => {
    const text = readFileSync(`${page}${file}`, 'utf8');
    return [...text.matchAll(/may\('([^']+)'\)|<IfMay route="([^"]+)"/g)].map(
      ([, a = '', b = '']) => (a || b) as RouteId,
    );
  });
}

test('who looks may use none of those that change something, who tends acknowledges, enters and plans batches, writes the diary, logs vents, checks probes and watches devices, who owns all', () => {
  expect(asked().length).toBeGreaterThan(12);
  const changing = [...new Set(asked())].filter((id) => !ADDRESSES[id].startsWith('get '));
  const [look, tend, own] = (['look', 'tend', 'own'] as const).map((role) => new Set(routesFor(role)));
  expect(changing.filter((id) => look?.has(ADDRESSES[id]))).toEqual([]);
  expect(changing.filter((id) => tend?.has(ADDRESSES[id])).toSorted()).toEqual([
    'acceptDevice',
    'acknowledgeAlarm',
    'addBatch',
    'addBatchCount',
    'addBatchStage',
    'addDiaryEntry',
    'addPreparation',
    'changeBatch',
    'changeDiaryEntry',
    'changePreparation',
    'correctProbe',
    'deleteBatch',
    'deleteBatchCount',
    'deleteBatchMove',
    'deleteBatchStage',
    'deleteDiaryEntry',
    'deleteVent',
    'logVent',
    'moveBatch',
    'restoreBatch',
    'restoreDiaryEntry',
    'restorePreparation',
    'setBatchWeaning',
    'setLeading',
    'startCheck',
    'stickPreparation',
    'tickPreparationStep',
    'watchMessages',
  ]);
  expect(changing.filter((id) => !own?.has(ADDRESSES[id]))).toEqual([]);
});

test('somebody unknown may sign in, and see no place', () => {
  expect(routesFor(null)).toContain('post /api/v1/access/sign-in');
  expect(routesFor(null)).not.toContain('get /api/v1/places');
});
