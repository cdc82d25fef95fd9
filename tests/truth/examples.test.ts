import { readdirSync, readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import * as condensation from '../../shared/climate/condensation.ts';
import * as domain from '../../shared/climate/domain.ts';
import * as humidity from '../../shared/climate/humidity.ts';
import * as latent from '../../shared/climate/latent.ts';
import * as leafFilm from '../../shared/climate/leaf-film.ts';
import * as leafTemperature from '../../shared/climate/leaf-temperature.ts';
import * as light from '../../shared/climate/light.ts';
import * as pressure from '../../shared/climate/pressure.ts';
import * as salts from '../../shared/climate/salts.ts';
import * as saturation from '../../shared/climate/saturation.ts';
import * as sensorError from '../../shared/climate/sensor-error.ts';
import * as wetHours from '../../shared/climate/wet-hours.ts';
import * as wetbulb from '../../shared/climate/wetbulb.ts';
import * as conversions from '../../shared/conversions.ts';
import * as proportion from '../../shared/statistics/proportion.ts';
import * as student from '../../shared/statistics/student.ts';

const shared = new URL('../../shared/', import.meta.url);
const files = [
  'conversions.ts',
  ...['climate', 'statistics'].flatMap((room) =>
    readdirSync(new URL(`${room}/`, shared)).map((name) => `${room}/${name}`),
  ),
].map((name) => ({ name, text: readFileSync(new URL(name, shared), 'utf8') }));

const names = {
  ...condensation,
  ...domain,
  ...humidity,
  ...latent,
  ...leafFilm,
  ...leafTemperature,
  ...light,
  ...pressure,
  ...salts,
  ...saturation,
  ...sensorError,
  ...wetbulb,
  ...wetHours,
  ...conversions,
  ...proportion,
  ...student,
};
const examples = files.flatMap(({ name, text }) =>
  [...text.matchAll(/@example (.+) \/\/ (-?[\d.]+|true|false)$/gm)].map(([, call = '', printed = '']) => ({
    name,
    call,
    printed,
  })),
);

test('each of the 38 exported functions of climate, statistics and units has one example, save requireWithin, which returns nothing', () => {
  const exported = files.flatMap(({ text }) =>
    [...text.matchAll(/^export function (\w+)/gm)].map(([, fn]) => fn),
  );
  const shown = examples.map(({ call }) => call.replace(/\(.*/, ''));
  expect(exported).toHaveLength(38);
  expect([...shown, 'requireWithin'].toSorted()).toEqual(exported.toSorted());
});

// The printed values come from [ASHRAE17], [TH83], definitions, rows of check-values.json, and psychrolib 1.1.1,
// not from this code.
test.each(examples)('$name: $call is $printed', ({ call, printed }) => {
  const evaluate = new Function(...Object.keys(names), `return ${call};`);
  const value: unknown = evaluate(...Object.values(names));
  if (/^[tf]/.test(printed)) return expect(value).toBe(printed === 'true');
  const decimals = printed.split('.')[1]?.length ?? 0;
  expect(Number(value).toFixed(decimals)).toBe(printed);
});
