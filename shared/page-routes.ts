/** Pages of the installation, by the first part of their address. */
const PLAIN_PAGES = [
  'batches',
  'people',
  'probes',
  'devices',
  'system',
  'watch',
  'other',
  'archived',
  'sheets',
  'wall',
  'several',
  'begin',
] as const;
type PlainPage = (typeof PLAIN_PAGES)[number];

/** Which benches are shown; '-' are those without a zone, null are all. */
export type BenchFilter = {
  readonly zone: string | null;
  readonly state: 'act' | 'watch' | 'ok' | null;
  readonly crop: string | null;
};

export type PageRoute =
  | { readonly page: PlainPage | 'unknown' }
  | { readonly page: 'benches'; readonly filter?: BenchFilter }
  | { readonly page: 'place'; readonly placeId: string }
  | { readonly page: 'night'; readonly date: string | null }
  | { readonly page: 'batch' | 'report'; readonly batchId: string }
  | { readonly page: 'compare'; readonly of: 'batches' | 'places'; readonly ids: readonly string[] }
  | { readonly page: 'alarms'; readonly alarmId: string | null }
  | { readonly page: 'start'; readonly placeId: string | null }
  | { readonly page: 'plan'; readonly planId: string | null }
  | { readonly page: 'sheet'; readonly sheetId: string };

const DATE = /^\d{4}-\d{2}-\d{2}$/;

/**
 * The page that an address names: `place/sill` is the place `sill`, `sheets/fig` the target sheet `fig`,
 * `night/2026-03-02` the night before that morning, `alarms/sill.no-data` that alarm among the others, an empty one the benches, `?state=act` some of them.
 * @param address a path, or what stands behind the # of one, without what it begins with
 */
export function pageOf(address: string): PageRoute {
  if (address.startsWith('?')) return benchesOf(new URLSearchParams(address));
  const [page = '', id = ''] = address.split('/');
  if (page === 'start') return { page, placeId: id === '' ? null : safelyDecoded(id) };
  if (page === 'alarms') return { page, alarmId: id === '' ? null : safelyDecoded(id) };
  if (page === 'plan') return { page, planId: id === '' ? null : safelyDecoded(id) };
  if (id !== '') {
    if (page === 'place') return { page, placeId: safelyDecoded(id) };
    if (page === 'sheets') return { page: 'sheet', sheetId: safelyDecoded(id) };
    if (page === 'batch' || page === 'report') return { page, batchId: safelyDecoded(id) };
    if (page === 'compare') return { page, ...comparedOf(safelyDecoded(id)) };
  }
  if (page === '') return { page: 'benches' };
  if (page === 'night' && id === '') return { page: 'night', date: null };
  if (page === 'night') return DATE.test(id) ? { page: 'night', date: id } : { page: 'unknown' };
  // its address before it was named so; kept, as people have it among their bookmarks
  if (page === 'house') return { page: 'system' };
  return { page: PLAIN_PAGES.find((known) => known === page) ?? 'unknown' };
}

/** The benches that a query asks for: `?zone=North&state=act&crop=fig`; what nobody knows is left out. */
function benchesOf(query: URLSearchParams): PageRoute {
  const filter: BenchFilter = {
    zone: query.get('zone'),
    state: (['act', 'watch', 'ok'] as const).find((known) => known === query.get('state')) ?? null,
    crop: query.get('crop'),
  };
  return Object.values(filter).some((value) => value !== null)
    ? { page: 'benches', filter }
    : { page: 'benches' };
}

/** The address at which an alarm stands first, as messages lead to it. */
export function alarmPath(alarmId: string): string {
  return `/#/alarms/${encodeURIComponent(alarmId)}`;
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
  if (page === 'start' || page === 'plan' || page === 'alarms') return true;
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
