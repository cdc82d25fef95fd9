import { readFileSync } from 'node:fs';
import { loadMicroPython } from '@micropython/micropython-webassembly-pyscript/micropython.mjs';
import { expect, test } from 'vitest';
import { statusSchema } from '../../../../../firmware-contracts/v1/status.ts';
import { decodePack } from '../../../../../server/domain/ingest/decode.ts';
import { deviceJson } from '../../../../../web/devices/device-settings.ts';
import { FAKES } from './fakes.ts';

const PROGRAM = new URL('../../../../../firmware-contracts/reference/micropython/', import.meta.url);
const FILES = ['mqtt.py', 'ring.py', 'drivers.py', 'board.py', 'node.py', 'settings.json'];

/** What a story told of the program prints as JSON, in MicroPython's own interpreter. */
async function told(story: string): Promise<unknown> {
  const lines: string[] = [];
  const python = await loadMicroPython({ stdout: (line) => lines.push(line), linebuffer: true });
  for (const name of FILES) python.FS.writeFile(`/${name}`, readFileSync(new URL(name, PROGRAM), 'utf8'));
  for (const [name, text] of Object.entries(FAKES)) python.FS.writeFile(`/${name}`, text);
  python.runPython(`import sys\nsys.path.insert(0, '/')\n${BEGIN}\n${story}`);
  return JSON.parse(lines.at(-1) ?? 'null');
}

/** SHT4x: 25 °C and 50 %RH by its formulas are 0x6666 and 0x72b0; the checksums are of the data sheet's polynomial. */
const BEGIN = `
import json, machine, network, socket, time, ds18x20, dht
def crc(two):
    c = 0xFF
    for b in two:
        c ^= b
        for _ in range(8): c = ((c << 1) ^ 0x31 if c & 0x80 else c << 1) & 0xFF
    return bytes([c])
machine.answers[0x44] = b'\\x66\\x66' + crc(b'\\x66\\x66') + b'\\x72\\xb0' + crc(b'\\x72\\xb0')
machine.answers[0x23] = b'\\x04\\xb0'
from board import Board
from node import Node
settings = json.load(open('/settings.json'))
settings['wifi'] = {'name': 'shed', 'password': 'x'}
settings['secret'] = 'secret'
node = Node(settings, Board())
def turns(count):
    for _ in range(count):
        node.turn()
        time.sleep_ms(30000)
`;

type Published = readonly (readonly [topic: string, payload: string, retain: number])[];

function readingsOf(published: Published) {
  return published
    .filter(([topic]) => topic === 'strikewell/1/bench-1/readings')
    .flatMap(([topic, text]) => {
      const payload = new TextEncoder().encode(text);
      const decoded = decodePack({ topic, payload, arrivedAtMs: 1_790_000_000_000, retainedCopy: false });
      if (!decoded.ok) throw new Error(decoded.refusal.reason);
      return decoded.readings;
    });
}

test('3 turns connect once with login and Will, say online, and send 5 readings each in units of the contract', async () => {
  const story = `
turns(3)
print(json.dumps([socket.published, [c.decode('latin1') if hasattr(c, 'decode') else str(c) for c in [b''.join([bytes([x for x in c if 32 <= x < 127])]) for c in socket.connects]], machine.fed > 3]))`;
  const [published, connects, fed] = (await told(story)) as [Published, string[], boolean];
  expect(connects).toHaveLength(1);
  for (const part of ['MQTT', 'bench-1', 'strikewell/1/bench-1/status', '"state": "offline"', 'secret'])
    expect(connects[0]).toContain(part);
  const [topic, status, retain] = published[0] ?? ['', '', 0];
  expect([topic, retain]).toEqual(['strikewell/1/bench-1/status', 1]);
  expect(statusSchema.parse(JSON.parse(status))).toMatchObject({
    state: 'online',
    dropped: 0,
    signalDbm: -61,
  });
  const readings = readingsOf(published);
  expect(readings).toHaveLength(15);
  const first = Object.fromEntries(readings.slice(0, 5).map(({ probe, value }) => [probe, value]));
  expect(first['air/temperature']).toBeCloseTo(25, 1);
  expect(first['air/humidity']).toBeCloseTo(50, 1);
  expect(first).toMatchObject({ 'root/temperature': 22.5, 'light/illuminance': 1_000, 'mist/valve': 0 });
  expect(fed).toBe(true);
});

test('an hour without a broker, and a power cut in it, lose none of 120 × 5 readings: each comes with its own time, oldest first', async () => {
  const story = `
turns(1)
socket.away = True
turns(60)
node = Node(settings, Board())
turns(60)
socket.away = False
time.sleep_ms(60000)
turns(1)
print(json.dumps([socket.published, node.ring.numbers(), node.ring.dropped]))`;
  const [published, left, dropped] = (await told(story)) as [Published, number[], number];
  const readings = readingsOf(published);
  expect(readings).toHaveLength(122 * 5);
  expect(new Set(readings.map(({ tMs }) => tMs)).size).toBe(122);
  const times = readings.map(({ tMs }) => tMs);
  expect(times).toEqual(times.toSorted((a, b) => a - b));
  expect([left, dropped]).toEqual([[], 0]);
  for (const [, text] of published) expect(text.length).toBeLessThan(65_536);
});

test('a full ring of 3 files drops the oldest and says how many in its status; a record cut by a power failure is passed over', async () => {
  const story = `
from ring import Ring
node.ring = Ring('/small', files=3, records=10)
socket.away = True
turns(9)
with open(node.ring.path(node.ring.numbers()[-1]), 'ab') as file: file.write(b'cut')
socket.away = False
time.sleep_ms(60000)
turns(1)
print(json.dumps([socket.published, node.ring.dropped]))`;
  const [published, dropped] = (await told(story)) as [Published, number];
  expect(dropped).toBe(20);
  expect(readingsOf(published)).toHaveLength(50 - dropped);
  const states = published.filter(([topic]) => topic.endsWith('/status')).map(([, text]) => JSON.parse(text));
  expect(states.at(-1)).toMatchObject({ state: 'online', dropped: 20 });
});

test('sensors that fail are left out: a wrong checksum, 85.0 and −127 of a one-wire probe, a chip that does not answer', async () => {
  const story = `
seen = []
def probes():
    node.waiting = []
    node.sample(1780300800)
    return sorted(node.probes[n] for _, n, _ in node.waiting)
seen.append(probes())
machine.answers[0x44] = machine.answers[0x44][:2] + b'\\x00' + machine.answers[0x44][3:]
ds18x20.celsius = 85.0
seen.append(probes())
ds18x20.celsius = -127.0
del machine.answers[0x23]
seen.append(probes())
print(json.dumps(seen))`;
  const all = ['air/humidity', 'air/temperature', 'light/illuminance', 'mist/valve', 'root/temperature'];
  expect(await told(story)).toEqual([all, ['light/illuminance', 'mist/valve'], ['mist/valve']]);
});

test('a valve that opens for 2 s between two readings is sent at both changes, with their times', async () => {
  const story = `
node.watch_contacts()
for second in range(6):
    machine.levels[27] = 0 if 2 <= second < 4 else 1
    node.watch_contacts()
    time.sleep_ms(1000)
print(json.dumps([[t - 1780300800, v] for t, n, v in node.waiting]))`;
  expect(await told(story)).toEqual([
    [2, 1],
    [4, 0],
  ]);
});

test('without Wi-Fi it tries after 1 s, then ever more seldom: in 10 min at most 25 times; asleep it sleeps for its cadence', async () => {
  const story = `
network.away = True
for _ in range(6000):
    node.connect()
    time.sleep_ms(100)
tries = network.joins
network.away = False
settings['sleep'] = True
node = Node(settings, Board(watchdog=False))
node.run()
print(json.dumps([tries, machine.slept, len(node.waiting)]))`;
  const [tries, slept, waiting] = (await told(story)) as [number, number[], number];
  expect(tries).toBeGreaterThan(8);
  expect(tries).toBeLessThanOrEqual(25);
  expect([slept, waiting]).toEqual([[30_000], 0]);
});

test('each kind of sensor of the guide is there, and settings.json of the Devices page is read as it is', async () => {
  const made = deviceJson(
    { device: 'sill', secret: 'x'.repeat(43) },
    { address: 'mqtt://192.168.1.20:1883', pageHost: 'h' },
  );
  const story = `
import drivers
settings = json.loads(${JSON.stringify(made)})
node = Node(settings, Board())
dht22 = drivers.KINDS['dht22']({'pin': 5, 'temperature': 'air/temperature', 'humidity': 'air/humidity'})
read = dht22()
dht.fails = True
print(json.dumps([sorted(drivers.KINDS), node.probes, node.topic('readings'), read, dht22()]))`;
  expect(await told(story)).toEqual([
    ['bh1750', 'contact', 'dht22', 'ds18b20', 'sht3x', 'sht4x'],
    ['air/temperature', 'air/humidity', 'root/temperature'],
    'strikewell/1/sill/readings',
    [
      ['air/temperature', 19.5],
      ['air/humidity', 77.5],
    ],
    [
      ['air/temperature', null],
      ['air/humidity', null],
    ],
  ]);
});
