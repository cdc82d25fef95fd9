import { describe, expect, test } from 'vitest';
import type { DeviceRow } from '../../../../shared/wire/probes/device.ts';
import { deviceHeader, deviceSettings, ownDeviceSettings } from '../../../../web/devices/device-settings.ts';
import {
  deviceFacts,
  inOrder,
  loginWords,
  presenceWords,
  secondWords,
  turnedAwaySum,
} from '../../../../web/devices/devices.ts';
import { routeOf } from '../../../../web/frame/route.ts';

const NOW_MS = Date.UTC(2026, 5, 1, 12);
const reader = { timeZone: 'UTC', nowMs: NOW_MS };
const at = (agoS: number) => new Date(NOW_MS - agoS * 1_000).toISOString();
const SILENT: DeviceRow = {
  device: 'bench-1',
  login: null,
  probes: 0,
  places: [],
  seenAt: null,
  connections: [],
  second: null,
  status: null,
  batteryPct: null,
  clockAheadS: null,
  cadenceS: null,
  lost: null,
  packs: 0,
  readings: 0,
  repeats: 0,
  conflicts: 0,
  refused: 0,
};
const LOGIN = { state: 'enabled', createdAt: at(7_200), secretAt: at(7_200), stateAt: at(7_200) } as const;
const factsOf = (row: Partial<DeviceRow>) =>
  deviceFacts({ ...SILENT, ...row }, reader).map(({ name, words, poor }) => [name, words, poor]);

describe('the settings to paste', () => {
  const made = { device: 'bench-1', secret: 'S3CRET' };
  const broker = { address: 'mqtt://0.0.0.0:1883', pageHost: 'bench.lan' };

  test('name the host of the page where the broker listens everywhere, and the encrypted port where there is one', () => {
    expect(ownDeviceSettings(made, { ...broker, secureAddress: 'mqtts://0.0.0.0:8883' }).split('\n')).toEqual(
      [
        'host      bench.lan',
        'port      8883',
        'TLS       yes; trust who signed the certificate',
        'user      bench-1',
        'password  S3CRET',
        'client    bench-1',
        'readings  strikewell/1/bench-1/readings   QoS 1, not retained',
        'status    strikewell/1/bench-1/status     QoS 1, retained: {"state":"online"}',
        'Will      the status topic, QoS 1, retained: {"state":"offline"}',
      ],
    );
    expect(deviceSettings({ name: 'devices', secret: 'S' }, broker)).toContain('TLS       no');
  });

  test('come as 5 lines of C', () => {
    expect(deviceHeader(made, broker)).toBe(
      `#define STRIKEWELL_HOST "bench.lan"
#define STRIKEWELL_PORT 1883
#define STRIKEWELL_TLS 0
#define STRIKEWELL_DEVICE "bench-1" /* also user name and client id */
#define STRIKEWELL_SECRET "S3CRET"`,
    );
  });
});

test('a device that was never received says so and has no facts', () => {
  expect(presenceWords(SILENT, reader)).toBe('It has not reported yet.');
  expect(factsOf({})).toEqual([]);
  const methods = [
    { closed: true, embedded: true },
    { closed: false, embedded: true },
    { closed: true, embedded: false },
  ];
  expect(methods.map((method) => loginWords(SILENT, method))).toEqual([
    'by the shared login',
    'without a login',
    'as your broker lets it in',
  ]);
});

test('a device that fares well has no fact that is marked', () => {
  const row: Partial<DeviceRow> = {
    login: LOGIN,
    batteryPct: 81,
    clockAheadS: -1.2,
    cadenceS: 60,
    packs: 1_440,
    status: { state: 'online', at: at(60), signalDbm: -61, dropped: 0, firmware: 'node 1.2' },
    lost: { missing: 2, expected: 1_440, everyS: 60, longestGapS: 180 },
  };
  expect(factsOf(row)).toEqual([
    ['says', 'online, node 1.2', false],
    ['battery', '81 %', false],
    ['signal', '−61 dBm', false],
    ['clock', 'within 5 s of ours', false],
    ['sends every', '1 min', false],
    ['missing', '2 of 1\u202f440 readings in 24 h, longest gap 3 min', false],
    ['dropped', '0 in its own buffer', false],
    ['packs', '1\u202f440, since the start', false],
    ['secret', expect.stringContaining('made'), false],
  ]);
});

test('of one that fares badly battery, signal, clock, losses and refusals are marked', () => {
  const row: Partial<DeviceRow> = {
    batteryPct: 12,
    clockAheadS: 3_600,
    packs: 10,
    repeats: 4,
    conflicts: 1,
    refused: 2,
    status: { state: 'offline', at: at(60), signalDbm: -91, dropped: 30, firmware: null },
    lost: { missing: 60, expected: 120, everyS: 60, longestGapS: 3_600 },
  };
  expect(factsOf(row)).toEqual([
    ['says', 'offline', true],
    ['battery', '12 %', true],
    ['signal', '−91 dBm', true],
    ['clock', '1 h ahead of ours', true],
    ['missing', '60 of 120 readings in 24 h, longest gap 1 h', true],
    ['dropped', '30 in its own buffer', true],
    ['packs', '10, 4 readings sent again, 1 conflict, 2 rejected, since the start', true],
  ]);
});

test('a connection is shown with its address; 2 with their number', () => {
  const connection = { clientId: 'bench-1', address: '192.0.2.7', since: at(3_600) };
  const words = (n: number) =>
    presenceWords({ ...SILENT, seenAt: at(12), connections: Array(n).fill(connection) }, reader);
  expect(words(1)).toMatch(/^Last reported 12 s ago; connected from 192\.0\.2\.7 since .*11:00\.$/);
  expect(words(2)).toContain(', 2 connections.');
});

test.each([
  ['alternating', 1, 'Two clients publish as this device by turns, once in 10 min.'],
  ['taking-over', 4, 'disconnected the first, 4 times in 10 min.'],
  ['restless', 6, 'It went offline 6 times in 10 min: a poor network or power, or two devices of one name.'],
] as const)('a second client that is %s is shown with its addresses', (kind, times, words) => {
  const said = secondWords({ kind, times, withinMin: 10, addresses: ['192.0.2.7', '192.0.2.8'] });
  expect(said).toContain(words);
  expect(said).toContain('Seen from 192.0.2.7, 192.0.2.8.');
});

test('who was turned away is summed up by why; retired devices come last, bench-10 after bench-2', () => {
  const byWhy = { anonymous: 3, 'other-topic': 1 };
  expect(turnedAwaySum({ total: 4, byWhy, newest: [] })).toBe(
    '3 without a login; 1 for writing on the topic of another device',
  );
  const row = (device: string, state: 'enabled' | 'retired') => ({
    ...SILENT,
    device,
    login: { ...LOGIN, state },
  });
  const rows = [row('bench-10', 'enabled'), row('bench-1', 'retired'), row('bench-2', 'enabled')];
  expect(inOrder(rows).map(({ device }) => device)).toEqual(['bench-2', 'bench-10', 'bench-1']);
});

test('#/devices is the page of devices', () => {
  expect(routeOf('#/devices')).toEqual({ page: 'devices' });
});
