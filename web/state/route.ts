const PLAIN_PAGES = ['alarms', 'people', 'probes', 'devices', 'house', 'watch', 'other', 'archived'] as const;
type PlainPage = (typeof PLAIN_PAGES)[number];

export type Route =
  | { readonly page: PlainPage | 'benches' | 'unknown' }
  | { readonly page: 'place'; readonly placeId: string };

/** The page that a hash names: `#/place/sill` is the place `sill`, an empty one the benches. */
export function routeOf(hash: string): Route {
  const [page = '', id = ''] = hash.replace(/^#\/?/, '').split('/');
  if (page === '') return { page: 'benches' };
  if (page === 'place' && id !== '') return { page: 'place', placeId: safelyDecoded(id) };
  return { page: PLAIN_PAGES.find((known) => known === page) ?? 'unknown' };
}

function safelyDecoded(text: string): string {
  try {
    return decodeURIComponent(text);
  } catch {
    return text;
  }
}

/** The address of a place's page. */
export function placeHref(placeId: string): string {
  return `#/place/${encodeURIComponent(placeId)}`;
}
