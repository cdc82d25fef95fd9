import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { COMMANDS } from '../../../../server/commands/list.ts';

const text = readFileSync(new URL('../../../../server/release/Containerfile', import.meta.url), 'utf8');
const lines = text
  .replaceAll(/\\\n\s*/g, '')
  .split('\n')
  .filter((line) => /^[A-Z]/.test(line));
const lineOf = (word: string): string => lines.find((line) => line.startsWith(`${word} `)) ?? '';

test('the container runs as user 10001 with its data on a volume that this user owns', () => {
  expect(lineOf('USER')).toBe('USER 10001:10001');
  expect(lineOf('VOLUME')).toBe('VOLUME /data');
  expect(lineOf('ENV')).toBe('ENV STRIKEWELL_DATA_DIR=/data');
  expect(lineOf('RUN')).toContain('install -d -m 0700 -o 10001 -g 10001 /data');
});

test('it adds the tarball that a release makes, and nothing else of the folder', () => {
  const added = lines.filter((line) => /^(?:ADD|COPY) /.test(line));
  expect(added).toEqual(['ADD strikewell-$' + '{VERSION}-linux-$' + '{ARCH}.tar.gz /opt/']);
});

test('its start and its health check are commands that there are', () => {
  const health = /HEALTHCHECK .* CMD (\[.*\])/.exec(lineOf('HEALTHCHECK'))?.[1] ?? '';
  const [program, command] = JSON.parse(health);
  expect(program).toBe('/opt/strikewell/bin/strikewell');
  expect(Object.keys(COMMANDS)).toContain(command);
  expect(lineOf('ENTRYPOINT')).toBe(`ENTRYPOINT ["${program}"]`);
  expect(Object.keys(COMMANDS)).toContain(JSON.parse(lineOf('CMD').slice(4))[0]);
});
