import { readdirSync, readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import * as domain from '../../shared/climate/domain.ts';
import * as humidity from '../../shared/climate/humidity.ts';
import * as light from '../../shared/climate/light.ts';
import * as pressure from '../../shared/climate/pressure.ts';
import * as saturation from '../../shared/climate/saturation.ts';
import * as wetbulb from '../../shared/climate/wetbulb.ts';
import * as quantities from '../../shared/quantities.ts';

const shared = new URL('../../shared/', import.meta.url);
const files = [
  'quantities.ts',
  ...readdirSync(new URL('climate/', shared)).map((name) => `climate/${name}`),
].map((name) => ({ name, text: readFileSync(new URL(name, shared), 'utf8') }));

const names = { ...domain, ...humidity, ...light, ...pressure, ...saturation, ...wetbulb, ...quantities };
const examples = files.flatMap(({ name, text }) =>
  [...text.matchAll(/@example (.+) \/\/ (-?[\d.]+)$/gm)].map(([, call = '', printed = '']) => ({
    name,
    call,
    printed,
  })),
);

test('each of the 25 exported functions has one example, save requireWithin, which returns nothing', () => {
  const exported = files.flatMap(({ text }) =>
    [...text.matchAll(/^export function (\w+)/gm)].map(([, fn]) => fn),
  );
  const shown = examples.map(({ call }) => call.replace(/\(.*/, ''));
  expect(exported).toHaveLength(25);
  expect([...shown, 'requireWithin'].toSorted()).toEqual(exported.toSorted());
});

// The printed values come from [ASHRAE17], [TH83], definitions, and psychrolib 1.1.1, not from this code.
test.each(examples)('$name: $call is $printed', ({ call, printed }) => {
  const decimals = printed.split('.')[1]?.length ?? 0;
  const evaluate = new Function(...Object.keys(names), `return ${call};`);
  const value: unknown = evaluate(...Object.values(names));
  expect(Number(value).toFixed(decimals)).toBe(printed);
});
