import { expect, test } from 'vitest';
import { sizeWithin } from '../../../../web/diary/picture-size.ts';

test.each([
  [
    { width: 4000, height: 3000 },
    { width: 320, height: 240 },
  ],
  [
    { width: 3000, height: 4000 },
    { width: 240, height: 320 },
  ],
  [
    { width: 200, height: 100 },
    { width: 200, height: 100 },
  ],
  [
    { width: 9000, height: 3 },
    { width: 320, height: 1 },
  ],
])('a picture of %o is %o in small', (size, small) => {
  expect(sizeWithin(size, 320)).toEqual(small);
});
