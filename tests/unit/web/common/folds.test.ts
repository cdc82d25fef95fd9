import { expect, test } from 'vitest';
import { foldsOf } from '../../../../web/common/folds.ts';

test.each([
  [null, []],
  ['{', []],
  ['{"record":true}', []],
  ['["record", 7, "pictures"]', ['record', 'pictures']],
])('of %s kept the folded sections are %j', (text, folded) => {
  expect(foldsOf(text)).toEqual(folded);
});
