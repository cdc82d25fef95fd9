import { expect, test } from 'vitest';
import type { NewMapping } from '../../shared/model/probes/mapping.ts';
import type { Opened } from './opened.ts';

const MAPPING: NewMapping = {
  filter: 'house/+/climate',
  device: { kind: 'level', level: 2 },
  placeId: null,
  time: { kind: 'pointer', pointer: '/at', as: 'rfc3339' },
  values: [
    { pointer: '/a~1b', probe: 'air/humidity', unit: '/', scale: 0.01, offset: -0.5, optional: true },
    { pointer: '', probe: 'soil/moisture', unit: null, scale: 1, offset: 0, optional: false },
  ],
};

/**
 * What a store promises about mappings.
 *
 * @param opened the store
 */
export function mappingsContract({ store, reopen }: Opened): void {
  test('2 mappings are there after a restart as they were given, one changed; a removed one is gone and its number never comes twice', () => {
    expect(store().mappings.all()).toEqual([]);
    const first = store().mappings.add(MAPPING);
    const second = store().mappings.add({ ...MAPPING, filter: 'shed/#' });
    const changed = { ...second, placeId: 'sill' };
    expect(store().mappings.update(changed)).toBe(true);
    expect(reopen().mappings.all()).toEqual([{ ...MAPPING, id: first.id }, changed]);
    expect(store().mappings.remove(second.id)).toBe(true);
    expect([store().mappings.remove(second.id), store().mappings.update(changed)]).toEqual([false, false]);
    expect(store().mappings.add(MAPPING).id).toBeGreaterThan(second.id);
  });
}
