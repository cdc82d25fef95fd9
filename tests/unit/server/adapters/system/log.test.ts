import { expect, test } from 'vitest';
import { logTo, prioritised } from '../../../../../server/adapters/system/log.ts';

function collecting(): { readonly lines: string[]; write(line: string): void } {
  const lines: string[] = [];
  return { lines, write: (line) => void lines.push(line) };
}

test('for the journal 3 lines begin with the priorities 6, 4 and 3, and are JSON behind them', () => {
  const out = collecting();
  const log = logTo(prioritised(out), 'info');
  log.info('a');
  log.warn('b', { device: 'sill' });
  log.error('c');
  expect(out.lines.map((line) => line.slice(0, 3))).toEqual(['<6>', '<4>', '<3>']);
  expect(JSON.parse(out.lines[1]?.slice(3) ?? '')).toMatchObject({ msg: 'b', device: 'sill' });
});

test('at the level error, of 3 lines 1 is written', () => {
  const out = collecting();
  const log = logTo(out, 'error');
  log.info('a');
  log.warn('b');
  log.error('c');
  expect(out.lines.map((line) => JSON.parse(line).msg)).toEqual(['c']);
});
