import { expect, test } from 'vitest';
import { dialectFaults } from './dialect-check.ts';
import { codeFiles, textFiles } from './sources.ts';

/** Where every sentence is read by people: the page, words, messages, the command line, the contract, the README. */
const READ = /^(web|shared|server|firmware-contracts)\//;

test('no sentence that people read has a private word for a standard thing', () => {
  const code = codeFiles().filter(({ path }) => READ.test(path) && !path.startsWith('web/vite'));
  const texts = textFiles().filter(({ path }) =>
    ['README.md', 'firmware-contracts/README.md', 'web/index.html'].includes(path),
  );
  expect(dialectFaults([...code, ...texts])).toEqual([]);
});

test.each([
  "say('Nobody was told of it.');",
  'const a = `all probes told nothing`;',
  "f('what needs a hand now');",
])('finds the private word in %s', (text) => {
  expect(dialectFaults([{ path: 'web/a.ts', text }])).toHaveLength(1);
});

test.each(["const told = 'told';", '// what a probe told', "f('Everybody is notified.');"])(
  'finds none in %s, which nobody reads or which is plain',
  (text) => {
    expect(dialectFaults([{ path: 'web/a.ts', text }])).toEqual([]);
  },
);
