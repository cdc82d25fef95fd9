import fc from 'fast-check';
import { expect, test } from 'vitest';
import {
  MAX_IGNORED_DEVICES,
  MAX_WAITING_BYTES,
  MAX_WAITING_BYTES_IN_ALL,
  MAX_WAITING_DEVICES,
  MAX_WAITING_PACKS,
  type WaitingDevice,
  type WaitingEvent,
  waitingStep,
} from '../../../../../server/domain/lifecycle/waiting.ts';

/** A list that carries out what the machine asks for, with packs as their sizes. */
function listOf() {
  const devices = new Map<string, WaitingDevice>();
  const packs = new Map<string, number[]>();
  let lost = 0;
  return {
    devices: () => [...devices.values()],
    packs,
    lost: () => lost,
    move(event: WaitingEvent): boolean {
      let fits = true;
      for (const effect of waitingStep([...devices.values()], event)) {
        if (effect.kind === 'save') devices.set(effect.device.device, effect.device);
        else if (effect.kind === 'keep')
          packs.set(effect.device, [
            ...(packs.get(effect.device) ?? []),
            event.kind === 'pack' ? event.bytes : 0,
          ]);
        else if (effect.kind === 'trim') {
          const kept = packs.get(effect.device) ?? [];
          const device = devices.get(effect.device);
          if (!device) throw new Error('a device that is not there is trimmed');
          let { packs: count, bytes, dropped } = device;
          while (count > effect.packs || bytes > effect.bytes) {
            bytes -= kept.shift() ?? 0;
            count--;
            dropped++;
          }
          devices.set(effect.device, { ...device, packs: count, bytes, dropped });
        } else if (effect.kind === 'forget') {
          lost += effect.dropped;
          devices.delete(effect.device);
          packs.delete(effect.device);
        } else fits = false;
      }
      return fits;
    },
  };
}

const device = fc.nat(70).map((n) => `new-${n}`);
const event: fc.Arbitrary<WaitingEvent> = fc.oneof(
  {
    weight: 8,
    arbitrary: fc.record({
      kind: fc.constant('pack' as const),
      device,
      bytes: fc.integer({ min: 1, max: 65_536 }),
      atMs: fc.nat(1_000_000),
    }),
  },
  fc.record({ kind: fc.constant('ignore' as const), device, atMs: fc.nat(1_000_000), by: fc.constant(null) }),
  fc.record({ kind: fc.constant('unignore' as const), device }),
  fc.record({ kind: fc.constant('leave' as const), device }),
);

test('whatever comes, the list and what is kept stay within their bounds, and every pack is kept or counted', () => {
  fc.assert(
    fc.property(fc.array(event, { maxLength: 600 }), (events) => {
      const list = listOf();
      let turnedAway = 0;
      for (const one of events) if (!list.move(one) && one.kind === 'pack') turnedAway++;
      const devices = list.devices();
      expect(devices.filter(({ state }) => state === 'waiting').length).toBeLessThanOrEqual(
        MAX_WAITING_DEVICES,
      );
      expect(devices.filter(({ state }) => state === 'ignored').length).toBeLessThanOrEqual(
        MAX_IGNORED_DEVICES,
      );
      const inAll = devices.reduce((sum, { bytes }) => sum + bytes, 0);
      expect(inAll).toBeLessThanOrEqual(MAX_WAITING_BYTES_IN_ALL);
      for (const { device: name, packs, bytes, received, dropped } of devices) {
        const kept = list.packs.get(name) ?? [];
        expect([packs, bytes]).toEqual([kept.length, kept.reduce((sum, size) => sum + size, 0)]);
        expect(packs).toBeLessThanOrEqual(MAX_WAITING_PACKS);
        expect(bytes).toBeLessThanOrEqual(MAX_WAITING_BYTES);
        expect(packs + dropped).toBe(received);
      }
      expect(turnedAway).toBeGreaterThanOrEqual(0);
    }),
    { numRuns: 60 },
  );
});

test('beyond 16 MiB in all an ignored device gives way before those that wait, then the one that holds most', () => {
  const list = listOf();
  const fill = (name: string, packs: number) => {
    for (let i = 0; i < packs; i++) list.move({ kind: 'pack', device: name, bytes: 65_536, atMs: i });
  };
  // 8 devices of 2 MiB are 16 MiB
  for (let i = 0; i < 8; i++) fill(`new-${i}`, 32);
  list.move({ kind: 'ignore', device: 'new-3', atMs: 1, by: 'owner' });
  fill('late', 1);
  const bytesOf = (name: string) => list.devices().find(({ device: of }) => of === name)?.bytes;
  expect([bytesOf('late'), bytesOf('new-3')]).toEqual([65_536, 31 * 65_536]);
  list.move({ kind: 'unignore', device: 'new-3' });
  fill('late', 1);
  expect(list.devices().filter(({ dropped }) => dropped > 0)).toMatchObject([
    { device: 'new-0', dropped: 1 },
    { device: 'new-3', dropped: 1 },
  ]);
});

test(`of more than ${MAX_IGNORED_DEVICES} ignored devices the one ignored longest ago is forgotten, and what was kept of it counts as dropped`, () => {
  const list = listOf();
  for (let i = 0; i <= MAX_IGNORED_DEVICES; i++) {
    list.move({ kind: 'pack', device: `new-${i}`, bytes: 10, atMs: i });
    list.move({ kind: 'ignore', device: `new-${i}`, atMs: i, by: null });
  }
  expect(list.devices()).toHaveLength(MAX_IGNORED_DEVICES);
  expect(list.devices()[0]?.device).toBe('new-1');
  expect(list.lost()).toBe(1);
});
