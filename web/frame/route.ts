import { type PageRoute, pageOf } from '../../shared/page-routes.ts';

export type Route = PageRoute;

/**
 * The page that an address names: `#/place/sill` is the place `sill`, an empty one the benches.
 * @param hash of the address
 * @param path of it, which counts where the hash is empty
 */
export function routeOf(hash: string, path = '/'): Route {
  const address = hash === '' && path !== '/index.html' ? path.slice(1) : hash.replace(/^#\/?/, '');
  return pageOf(address);
}

/** The address of a target sheet's page. */
export function sheetHref(sheetId: string): string {
  return `#/sheets/${encodeURIComponent(sheetId)}`;
}

/** The address of a place's page. */
export function placeHref(placeId: string): string {
  return `#/place/${encodeURIComponent(placeId)}`;
}

/** The address of a batch's page. */
export function batchHref(batchId: string): string {
  return `#/batch/${encodeURIComponent(batchId)}`;
}
