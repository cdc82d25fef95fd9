import { describe, expect, test } from 'vitest';
import { mappingSchema } from '../../../../shared/model/probes/mapping.ts';
import {
  draftOf,
  guessedTime,
  joinedProbes,
  levelsOf,
  mappingOfDraft,
  NEW_DRAFT,
  proposedValue,
  readAsOf,
  treeOf,
  withPicked,
} from '../../../../web/messages/mapping-form.ts';

const KNOWN = ['air/temperature', 'air/humidity', 'root/temperature'];
const MAPPING = {
  id: 3,
  filter: 'house/+/climate',
  device: { kind: 'level' as const, level: 2 },
  placeId: 'sill',
  time: { kind: 'pointer' as const, pointer: '/at', as: 'ms' as const },
  values: [
    { pointer: '/t', probe: 'air/temperature/2', unit: 'degF', scale: 0.1, offset: -2, optional: true },
    { pointer: '/m', probe: 'soil/moisture', unit: null, scale: 1, offset: 0, optional: false },
  ],
};

describe('the form', () => {
  test('of a mapping with 2 values, numbered and of another name, gives the same mapping back', () => {
    const draft = draftOf(MAPPING, KNOWN);
    expect(draft.values).toMatchObject([
      { known: 'air/temperature', number: '2', unit: 'degF', scale: '0.1', offset: '-2' },
      { known: '', other: 'soil/moisture', unit: '' },
    ]);
    const { id: _, ...mapping } = MAPPING;
    expect(mappingOfDraft(draft)).toEqual(mapping);
  });

  test('takes "0,1" for 0.1, and leaves "x" for the daemon to refuse by its field', () => {
    const typed = (scale: string) => {
      const value = { ...proposedValue('/t', []), scale };
      return mappingSchema.safeParse(
        mappingOfDraft({
          ...NEW_DRAFT,
          filter: 'a/b',
          device: { kind: 'named', name: 'a', level: 1 },
          values: [value],
        }),
      );
    };
    expect(typed('0,1').data?.values[0]?.scale).toBe(0.1);
    expect(typed('x').error?.issues[0]?.path).toEqual(['values', 0, 'scale']);
  });

  test.each([
    ['house/+/climate', 'house/east/climate', { kind: 'level', level: 2 }],
    ['house/east', 'house/east', { kind: 'named', name: 'east' }],
    ['house/#', 'house/bed 3', { kind: 'named', name: 'house' }],
  ])('for %s a message on %s proposes the device %j', (filter, topic, device) => {
    expect(withPicked({ ...NEW_DRAFT, filter }, topic).device).toMatchObject(device);
  });

  test('keeps a device that was named before a message was picked', () => {
    const draft = { ...NEW_DRAFT, filter: 'a/+', device: { kind: 'named' as const, name: 'post', level: 1 } };
    expect(withPicked(draft, 'a/b')).toBe(draft);
  });
});

describe('a tap', () => {
  test.each([
    ['/sensors/0/temp_f', 'air/temperature', 'Cel'],
    ['/soil_temperature', 'root/temperature', 'Cel'],
    ['/Humidity', 'air/humidity', '%RH'],
    ['/illuminance_lux', 'light/illuminance', 'lx'],
    ['/battery', 'battery/level', '%EL'],
    ['/x', 'air/temperature', 'Cel'],
  ])('on %s proposes %s in %s', (pointer, known, unit) => {
    expect(proposedValue(pointer, [])).toMatchObject({ pointer, known, unit, number: '' });
  });

  test('on a second temperature proposes number 2', () => {
    const first = proposedValue('/a/temp', []);
    expect(proposedValue('/b/temp', [first])).toMatchObject({ known: 'air/temperature', number: '2' });
  });

  // 1772611200 s and 1772611200000 ms are 2026-03-04 08:00 UTC (GNU date)
  test.each([
    [1_772_611_200, 's'],
    ['1772611200', 's'],
    [1_772_611_200_000, 'ms'],
    ['2026-03-04T08:00:00Z', 'rfc3339'],
  ])('on the time %j takes it as %s', (value, as) => {
    expect(guessedTime(value)).toBe(as);
  });
});

describe('the tree', () => {
  test('gives each value its pointer, names with / and ~ escaped, and what holds others none to tap', () => {
    expect(treeOf({ 'a/b': [1, null], 'm~n': {}, t: 'x'.repeat(80) })).toEqual({
      key: 'the message',
      pointer: '',
      text: null,
      children: [
        {
          key: 'a/b',
          pointer: '/a~1b',
          text: null,
          children: [
            { key: '0', pointer: '/a~1b/0', text: '1', children: [] },
            { key: '1', pointer: '/a~1b/1', text: 'null', children: [] },
          ],
        },
        { key: 'm~n', pointer: '/m~0n', text: null, children: [] },
        { key: 't', pointer: '/t', text: `"${'x'.repeat(59)}…`, children: [] },
      ],
    });
  });

  test('of a bare number is the message itself; of 500 parts 100 are drawn, and 20 levels of a deep one', () => {
    expect(treeOf(21.5)).toEqual({ key: 'the message', pointer: '', text: '21.5', children: [] });
    expect(treeOf(Array(500).fill(0)).children).toHaveLength(100);
    let deep: unknown = 1;
    for (let level = 0; level < 1_000; level++) deep = [deep];
    let [node, levels] = [treeOf(deep), 0];
    for (; node.children[0] !== undefined; node = node.children[0]) levels++;
    expect(levels).toBe(20);
  });

  test('says what is read as what already', () => {
    const values = [proposedValue('/t', []), { ...proposedValue('/u', []), number: '2' }];
    const time = { kind: 'pointer' as const, pointer: '/at', as: 's' as const };
    expect([...readAsOf({ ...NEW_DRAFT, values, time }, () => 'Air temperature')]).toEqual([
      ['/t', 'Air temperature'],
      ['/u', 'Air temperature 2'],
      ['/at', 'the time'],
    ]);
  });
});

test('of 2 values the one whose probe the device has already is said to join it', () => {
  const values = [proposedValue('/temp', []), proposedValue('/humidity', [])];
  const probes = [
    { device: 'east', name: 'air/humidity' },
    { device: 'west', name: 'air/temperature' },
  ];
  expect(joinedProbes({ ...NEW_DRAFT, values }, 'east', probes)).toEqual(['east/air/humidity']);
});

test('the topic /house//east has 2 levels that could be a name: 2 and 4', () => {
  expect(levelsOf('/house//east')).toEqual([
    { level: 2, name: 'house' },
    { level: 4, name: 'east' },
  ]);
});
