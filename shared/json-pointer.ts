/** What a pointer leads to: `found` is false when it leads nowhere. */
export type Pointed = { readonly found: true; readonly value: unknown } | { readonly found: false };

const ESCAPED = /~[^01]|~$/;
const ARRAY_INDEX = /^(0|[1-9][0-9]*)$/;

/**
 * The reference tokens of a JSON pointer, unescaped.
 * @returns null when the text is no pointer: neither empty nor beginning with "/", or with "~" before anything but 0 or 1
 * @source RFC 6901 sections 3 and 4
 */
export function pointerTokens(pointer: string): readonly string[] | null {
  if (pointer === '') return [];
  if (!pointer.startsWith('/') || ESCAPED.test(pointer)) return null;
  return pointer
    .slice(1)
    .split('/')
    .map((token) => token.replaceAll('~1', '/').replaceAll('~0', '~'));
}

/**
 * The pointer made of reference tokens.
 * @source RFC 6901 section 3
 */
export function pointerOf(tokens: readonly (string | number)[]): string {
  return tokens.map((token) => `/${String(token).replaceAll('~', '~0').replaceAll('/', '~1')}`).join('');
}

/**
 * What lies at a pointer in a JSON value. An array takes indexes without leading zeros; "-", the element after the
 * last, leads nowhere.
 * @source RFC 6901 section 4
 */
export function valueAtPointer(document: unknown, pointer: string): Pointed {
  const tokens = pointerTokens(pointer);
  if (tokens === null) return { found: false };
  let value = document;
  for (const token of tokens) {
    const next = childOf(value, token);
    if (!next.found) return next;
    value = next.value;
  }
  return { found: true, value };
}

function childOf(value: unknown, token: string): Pointed {
  if (Array.isArray(value)) {
    const isThere = ARRAY_INDEX.test(token) && Number(token) < value.length;
    return isThere ? { found: true, value: value[Number(token)] } : { found: false };
  }
  if (typeof value !== 'object' || value === null || !Object.hasOwn(value, token)) return { found: false };
  return { found: true, value: (value as Readonly<Record<string, unknown>>)[token] };
}
