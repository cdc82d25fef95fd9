/** Pages of the installation, by the first part of their address. */
const PLAIN_PAGES = [
  'batches',
  'alarms',
  'people',
  'probes',
  'devices',
  'system',
  'watch',
  'other',
  'archived',
  'sheets',
] as const;
type PlainPage = (typeof PLAIN_PAGES)[number];

export type PageRoute =
  | { readonly page: PlainPage | 'benches' | 'unknown' }
  | { readonly page: 'place'; readonly placeId: string }
  | { readonly page: 'night'; readonly date: string | null }
  | { readonly page: 'batch' | 'report'; readonly batchId: string }
  | { readonly page: 'compare'; readonly of: 'batches' | 'places'; readonly ids: readonly string[] }
  | { readonly page: 'start'; readonly placeId: string | null }
  | { readonly page: 'sheet'; readonly sheetId: string };

const DATE = /^\d{4}-\d{2}-\d{2}$/;

/**
 * The page that an address names: `place/sill` is the place `sill`, `sheets/fig` the target sheet `fig`,
 * `night/2026-03-02` the night before that morning, an empty one the benches.
 * @param address a path, or what stands behind the # of one, without what it begins with
 */
export function pageOf(address: string): PageRoute {
  const [page = '', id = ''] = address.split('/');
  if (page === 'start') return { page, placeId: id === '' ? null : safelyDecoded(id) };
  if (id !== '') {
    if (page === 'place') return { page, placeId: safelyDecoded(id) };
    if (page === 'sheets') return { page: 'sheet', sheetId: safelyDecoded(id) };
    if (page === 'batch' || page === 'report') return { page, batchId: safelyDecoded(id) };
    if (page === 'sheets') return { page: 'sheet', sheetId: safelyDecoded(id) };
    if (page === 'compare') return { page, ...comparedOf(safelyDecoded(id)) };
  }
  if (page === '') return { page: 'benches' };
  if (page === 'night' && id === '') return { page: 'night', date: null };
  if (page === 'night') return DATE.test(id) ? { page: 'night', date: id } : { page: 'unknown' };
  // its address before it was named so; kept, as people have it among their bookmarks
  if (page === 'house') return { page: 'system' };
  return { page: PLAIN_PAGES.find((known) => known === page) ?? 'unknown' };
}

/** True for a path at which the page opens: all others beside it are no pages. */
export function isPagePath(path: string): boolean {
  if (path === '/' || path === '/index.html') return true;
  return /^\/[^/]+(\/[^/]+)?$/.test(path) && isWhole(path.slice(1));
}

/** Pages of one thing, which their address names. */
const OF_ONE: readonly string[] = ['place', 'batch', 'report', 'compare', 'sheet'];

/** True when every part of an address names something. */
function isWhole(address: string): boolean {
  const { page } = pageOf(address);
  if (page === 'night') return !address.endsWith('/');
  if (page === 'start') return true;
  return page !== 'unknown' && OF_ONE.includes(page) === address.includes('/');
}

/** Batches by their ids, or behind this benches by theirs. */
const BENCHES = 'benches=';

function comparedOf(text: string): { readonly of: 'batches' | 'places'; readonly ids: readonly string[] } {
  if (text.startsWith(BENCHES)) return { of: 'places', ids: text.slice(BENCHES.length).split(',') };
  return { of: 'batches', ids: text.split(',') };
}

function safelyDecoded(text: string): string {
  try {
    return decodeURIComponent(text);
  } catch {
    return text;
  }
}
