import { describe, expect, test } from 'vitest';
import { decode, decodeText, one, readingsOf, refusalOf, root } from './sending.ts';

describe('the whole of a payload', () => {
  test('65536 bytes are read and 65537 are refused', () => {
    const pack = JSON.stringify([root]);
    expect(decodeText(pack.padEnd(65_536, ' ')).ok).toBe(true);
    expect(refusalOf(decodeText(pack.padEnd(65_537, ' ')))?.code).toBe('payload-too-large');
  });

  test('500 records are read and 501 are refused', () => {
    const records = (count: number) => Array.from({ length: count }, (_, t) => ({ ...root, t: -t }));
    expect(readingsOf(decode(records(500)))).toHaveLength(500);
    expect(refusalOf(decode(records(501)))?.code).toBe('too-many-records');
  });

  // C0 AF: an overlong "/"; FF: never in UTF-8; E2 82: a character cut short (RFC 3629 sections 3 and 10).
  test.each([[[0xc0, 0xaf]], [[0xff]], [[0xe2, 0x82]]])('the bytes %j in a field are not UTF-8', (bytes) => {
    const around = new TextEncoder().encode('[{"x":""}]');
    const payload = Uint8Array.from([...around.slice(0, 7), ...bytes, ...around.slice(7)]);
    expect(refusalOf(decodeText(payload))?.code).toBe('not-utf8');
  });

  test.each(['', '[', '[{"n":"root/temperature","v":NaN}]', "[{'n':1}]", '[{},]'])(
    '%j is not JSON',
    (text) => {
      expect(refusalOf(decodeText(text))?.code).toBe('not-json');
    },
  );

  test('32768 nested arrays, as the pack or inside an ignored field, are refused or ignored without a crash', () => {
    const deep = `${'['.repeat(32_000)}${']'.repeat(32_000)}`;
    expect(refusalOf(decodeText(deep))?.code).toBe('not-a-record');
    expect(refusalOf(decodeText('['.repeat(65_536)))?.code).toBe('not-json');
    expect(refusalOf(decodeText(`[{"v":${deep}}]`))?.code).toBe('bad-field');
    expect(decodeText(`[{"n":"root/temperature","u":"Cel","v":20,"x":${deep}}]`).ok).toBe(true);
  });

  test('fields named like parts of a JavaScript object change nothing, and __proto__ must be understood', () => {
    const text = '[{"constructor":{"v":1},"toString":1,"hasOwnProperty":1,"n":"soil/ph","u":"pH","v":6}]';
    expect(readingsOf(decodeText(text))).toMatchObject([{ probe: 'soil/ph', value: 6 }]);
    expect(refusalOf(decodeText('[{"__proto__":{"v":1},"n":"soil/ph","u":"pH"}]'))).toMatchObject({
      code: 'must-understand',
      pointer: '/0/__proto__',
    });
    expect(one({ n: 'constructor', v: 1 })).toMatchObject({ probe: 'constructor', quantity: null });
    expect(one(root, { topic: 'strikewell/1/__proto__/readings' })).toMatchObject({ device: '__proto__' });
  });

  test('one bad record of 3 refuses the pack and the pointer names it', () => {
    expect(refusalOf(decode([root, { ...root, v: '1' }, root]))).toMatchObject({
      code: 'bad-field',
      pointer: '/1/v',
      device: 'bench-1',
    });
    expect(refusalOf(decode([root, root, { ...root, v: 151 }]))?.pointer).toBe('/2');
  });

  test('a pointer escapes "~" as ~0 and "/" as ~1 (RFC 6901 section 3)', () => {
    expect(refusalOf(decode([{ ...root, 'a~/_': 1 }]))?.pointer).toBe('/0/a~0~1_');
  });

  test.each([
    'strikewell/1/bench-1/status',
    'strikewell/1/bench 1/readings',
    'strikewell/2/bench-1/readings',
  ])('nothing is read on the topic %s', (topic) => {
    expect(refusalOf(decode([root], { topic }))).toMatchObject({ code: 'bad-topic', device: null });
  });

  test('a reason stays short however long the payload is: under 400 characters for 60000', () => {
    const long = 'x'.repeat(60_000);
    const packs = [long, `[{"n":"${long}","v":1}]`, `[{"${long}_":1}]`, `[{"n":"a","u":"${long}","v":1}]`];
    for (const text of packs) expect(refusalOf(decodeText(text))?.reason.length).toBeLessThan(400);
  });
});

describe('names', () => {
  test.each([
    ['root/temperature', 'root/temperature', 'root/temperature'],
    ['bench-1/root/temperature', 'root/temperature', 'root/temperature'],
    ['root/temperature/2', 'root/temperature/2', 'root/temperature'],
    ['bench-1/root/temperature/12', 'root/temperature/12', 'root/temperature'],
    ['root/temperature/0', 'root/temperature/0', null],
    ['root/temperature/02', 'root/temperature/02', null],
    ['root/temperature/a', 'root/temperature/a', null],
    ['soil/moisture', 'soil/moisture', null],
    ['urn:dev:ow:10e2073a01080063', 'urn:dev:ow:10e2073a01080063', null],
    ['bench-1/x', 'x', null],
  ])('on the topic of bench-1 the name %s is the probe %s, measuring %s', (n, probe, quantity) => {
    expect(one({ n, u: 'Cel', v: 20 })).toMatchObject({ device: 'bench-1', probe, quantity });
  });

  test('a device called root has the probe root/temperature, with or without its own name before it', () => {
    const topic = 'strikewell/1/root/readings';
    expect(one(root, { topic })).toMatchObject({ device: 'root', probe: 'root/temperature' });
    expect(one({ ...root, n: 'root/root/temperature' }, { topic })).toMatchObject({
      probe: 'root/temperature',
    });
  });

  test('a device called _x.1 may put its name before the probe, though SenML names begin with a letter or digit', () => {
    const topic = 'strikewell/1/_x.1/readings';
    expect(one({ ...root, n: '_x.1/root/temperature' }, { topic })).toMatchObject({
      probe: 'root/temperature',
    });
  });

  test.each(['bench-2/root/temperature', 'bench-10/air/humidity/2', 'root/root/temperature'])(
    'the name %s is of another device than bench-1',
    (n) => {
      expect(refusalOf(decode([{ ...root, n }]))?.code).toBe('other-device');
    },
  );

  // RFC 8428 section 4.5.1: A-Z a-z 0-9 - : . / _ and first a letter or digit.
  test.each(['', 'bench-1/', ' x', '/x', '_x', '-x', 'x y', 'x%', 'wärme', 'x\n', 'x\u0000', 'bench-1/_x'])(
    'the name %j is not allowed',
    (n) => {
      expect(refusalOf(decode([{ n, u: 'Cel', v: 1 }]))?.code).toBe('bad-name');
    },
  );

  test('a probe name of 96 characters is kept and one of 97 refused, the device before it not counted', () => {
    const named = (length: number) => [{ n: `bench-1/${'p'.repeat(length)}`, u: 'Pa', v: 1 }];
    expect(readingsOf(decode(named(96)))).toMatchObject([{ probe: 'p'.repeat(96), unit: 'Pa' }]);
    expect(refusalOf(decode(named(97)))?.code).toBe('bad-name');
  });
});
