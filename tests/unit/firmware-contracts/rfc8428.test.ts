import { describe, expect, test } from 'vitest';
import { resolvePack } from '../../support/resolve-pack.ts';
import { NOW_S, RFC8428_EXAMPLES } from './rfc8428/examples.ts';

describe('the examples of RFC 8428, section 5.1', () => {
  test.each(RFC8428_EXAMPLES)('section $section resolves as section 4.6 says', ({ pack, resolved }) => {
    expect(resolvePack({ records: pack, arrivedAtMs: NOW_S * 1000 })).toEqual(resolved);
  });

  test.each(RFC8428_EXAMPLES)('section $section, once resolved, stays as it is', ({ resolved }) => {
    expect(resolvePack({ records: resolved, arrivedAtMs: 1 })).toEqual(resolved);
  });
});
