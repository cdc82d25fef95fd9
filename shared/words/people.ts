import type { WayKind } from '../model/people.ts';

/** How a way is named on the page and in messages; never with its address. */
export const WAY_WORDS: Readonly<Record<WayKind, string>> = {
  mail: 'e-mail',
  webhook: 'webhook',
  push: 'notification',
};
